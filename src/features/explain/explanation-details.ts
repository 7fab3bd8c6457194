import { angleText, signed, smallLength } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { textTable, wrapped } from "../../render/text.js";
import { jointName, printedChance, remediesText, storyText } from "./cause-sentences.js";
import { causeText } from "./error-shares.js";
import type { CellExplained, Explanation, JointExplained } from "./explain-cells.js";

/** Contributions below this share of the largest are combined into one row. */
const NAMED = 0.05;
const UNKNOWN = "not known to 2 %";

/** The tables behind an answer: every source, every open or pressed joint with what makes it so, the stories. */
export function detailLines(explanation: Explanation): string[] {
  const { cells, stories, job } = explanation;
  const told = stories?.slice(0, 10) ?? [];
  return [
    "How far off each source is, and from which size on it keeps a perfect cell from closing",
    textTable(
      ["source", "estimate", "95 % interval", "matters from", "chance that it matters"],
      sourceRows(explanation),
      [1, 2, 3, 4],
    ),
    ...cells.flatMap((cell) => cell.joints.flatMap((joint) => ["", ...jointLines(explanation, cell, joint)])),
    ...(told.length > 0
      ? [
          "",
          "Stories",
          textTable(
            ["chance", "story"],
            told.map((story) => [printedChance(story.chance) ?? UNKNOWN, storyText(story, job)]),
            [0],
          ),
        ]
      : []),
    "",
    wrapped(
      "What a cause adds is shared out along the straight path from the perfect cell to this one: in proportion to how the gap there answers to the cause (Aumann and Shapley). The rows of a joint add up to its gap. A cause below zero closes the gap.",
    ),
    ...(job.lengths === "fitted"
      ? [
          wrapped(
            "In this job pieces are fitted by trial. Gaps count as of pieces as the stops cut them: write them down before you trim.",
          ),
        ]
      : []),
  ];
}

function sourceRows({ sources, job: { units } }: Explanation): string[][] {
  return sources.map(({ id, angular, estimate, interval, matters, chance }) => {
    const amount = (value: number): string => signed(angular ? angleText(value) : smallLength(value, units));
    return [
      sourceText(id),
      amount(estimate),
      `${amount(interval[0])} to ${amount(interval[1])}`,
      `${amount(-matters.below)} and ${amount(matters.above)}`,
      printedChance(chance) ?? UNKNOWN,
    ];
  });
}

function jointLines({ job }: Explanation, cell: CellExplained, joint: JointExplained): string[] {
  const { units } = job;
  const size = (mm: number): string => signed(smallLength(mm, units));
  const { contributions, asDrawn, gap, closing } = joint;
  const largest = Math.abs(contributions[0]?.mean ?? 0);
  const named = contributions.filter(({ mean }) => Math.abs(mean) >= NAMED * largest);
  const rest = contributions.slice(named.length).reduce((sum, { mean }) => sum + mean, 0);
  const side = joint.side ? `, ${joint.side}` : "";
  const rows = [
    ...named.map(({ id, mean, low, high }) => [causeText(id), size(mean), `${size(low)} to ${size(high)}`]),
    ...(named.length < contributions.length ? [["all others together", size(rest), ""]] : []),
    ...(Math.abs(asDrawn) > 1e-6 ? [["the drawing itself", size(asDrawn), ""]] : []),
    ["gap expected there", size(gap.mean), `${size(gap.low)} to ${size(gap.high)}`],
  ];
  const title = `Cell ${cell.cell.trial}, ${jointName(cell, joint)} (${joint.joint}), at the ${joint.at}${side}: ${joint.state}`;
  const moves = remediesText(closing, job);
  const limit = joint.state === "open" ? closing.after.gap : closing.after.press;
  return [
    wrapped(title),
    textTable(["cause", "adds", "95 % interval"], rows, [1, 2]),
    ...(moves === "" ? [] : [wrapped(`To close it: ${moves}; ${smallLength(limit, units)} is left.`)]),
  ];
}
