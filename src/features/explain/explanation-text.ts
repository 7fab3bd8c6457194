import { present } from "../../core/numeric/dense.js";
import type { Job } from "../../model/job/job.js";
import { answerText } from "../../render/cautions.js";
import { evidenceText } from "../../render/evidence-text.js";
import { chanceText, smallLength } from "../../render/shop-numbers.js";
import { capitalised } from "../../render/source-text.js";
import { wrapped } from "../../render/text.js";
import { readingName, readTexts, separatingText, signReadingsText, tellingText } from "../plan/index.js";
import {
  checkText,
  foreseenTexts,
  jointName,
  printedChance,
  remediesText,
  sourceSentence,
  storyText,
} from "./cause-sentences.js";
import { type CauseId, causeKey, causeText, sameCause } from "./error-shares.js";
import type { CellExplained, Explanation, JointExplained } from "./explain-cells.js";
import { detailLines } from "./explanation-details.js";
import type { Contribution } from "./joint-causes.js";
import { type NextCheck, nextCheck, type StoriesTold } from "./next-check.js";
import type { SourceCause } from "./source-causes.js";
import type { Story } from "./stories.js";

/** Maximum number of causes named in the answer, and the least share that a cause must have of everything that opens and presses the joints. */
const MOST_CAUSES = 3;
const LEAST_SHARE = 0.1;
/** Maximum number of stories named in the answer, and the least probability of one; the first is always named. */
const MOST_STORIES = 3;
const LEAST_CHANCE = 0.03;

/** Why the cells have gaps, as text: the answer in at most fifteen lines, the tables if requested, and the cautions. */
export function explanationText(explanation: Explanation, details = false): string {
  return answerText({
    answer: [
      evidenceText(explanation.posterior),
      "WHY DOES IT GAP?",
      ...answerLines(explanation, nextCheck(explanation)).map((line) => wrapped(line)),
    ],
    details: details ? detailLines(explanation) : [],
    wanted: details,
  });
}

/** The answer, one line per paragraph. */
export function answerLines(explanation: Explanation, next: NextCheck | null): string[] {
  const { cells, stories } = explanation;
  const off = cells.some(({ joints }) => joints.length > 0);
  return [
    cells.map(cellText).join(" "),
    ...(stories === null
      ? mainCauses(explanation)
          .slice(0, next ? MOST_CAUSES - 1 : MOST_CAUSES)
          .map((cause) => causeLine(explanation, cause))
      : storyLines(explanation, stories)),
    ...(off && stories === null ? [closingLine(explanation)] : []),
    ...(next ? [nextLine(explanation, next)] : []),
  ];
}

function cellText({ cell: { trial }, joints }: CellExplained): string {
  const count = (state: JointExplained["state"]): number =>
    joints.filter((joint) => joint.state === state).length;
  const [open, pressed] = [count("open"), count("pressed")];
  if (open + pressed === 0) return `Cell ${trial}: no joint is open or pressed.`;
  return `Cell ${trial}: ${open} joint${open === 1 ? "" : "s"} open, ${pressed} pressed.`;
}

/** A cause with the joint where its effect is largest, and its share of everything that opens and presses joints. */
interface MainCause {
  readonly id: CauseId;
  readonly cell: CellExplained;
  readonly joint: JointExplained;
  readonly part: Contribution;
  readonly share: number;
}

/** The causes with the largest effects on the open and pressed joints, the largest first. */
export function mainCauses({ cells }: Pick<Explanation, "cells">): MainCause[] {
  const parts = cells
    .flatMap((cell) =>
      cell.joints.flatMap((joint) =>
        joint.contributions.map((part) => ({
          cell,
          joint,
          part,
          does: part.mean * (joint.state === "open" ? 1 : -1),
        })),
      ),
    )
    .filter(({ does }) => does > 0);
  const all = parts.reduce((sum, { does }) => sum + does, 0);
  const keys = [...new Set(parts.map(({ part }) => causeKey(part.id)))];
  return keys
    .map((key): MainCause => {
      const own = parts.filter(({ part }) => causeKey(part.id) === key);
      const { cell, joint, part } = own.reduce((a, b) => (b.does > a.does ? b : a));
      return { id: part.id, cell, joint, part, share: own.reduce((sum, { does }) => sum + does, 0) / all };
    })
    .sort((a, b) => b.share - a.share)
    .filter(({ share }, k) => k < MOST_CAUSES && share >= LEAST_SHARE);
}

function causeLine(explanation: Explanation, { id, cell, joint, part }: MainCause): string {
  const { units } = explanation.job;
  const size = (mm: number): string => smallLength(Math.abs(mm), units);
  const range = `${smallLength(part.low, units)} to ${smallLength(part.high, units)}`;
  const does = `${size(part.mean)} of the ${size(joint.gap.mean)} by which the ${joint.at} of ${jointName(cell, joint)} is ${joint.state}`;
  const source = sourceOf(explanation, id);
  if (id.kind === "piece") return `- ${causeText(id)}, not its jigs: ${does}.`;
  if (!source) return `- The ${causeText(id)}: ${does} (95 %: ${range}).`;
  return `- ${capitalised(sourceSentence(source, explanation.job))}: ${does} (95 %: ${range}).`;
}

const sourceOf = ({ sources }: Explanation, id: CauseId): SourceCause | undefined =>
  sources.find((source) => sameCause(source.id, id));

function storyLines({ job }: Explanation, stories: readonly Story[]): string[] {
  const named = stories.filter(
    ({ chance }, k) => k === 0 || (k < MOST_STORIES && chance.value >= LEAST_CHANCE),
  );
  return [
    "Only cells were read, and these stories fit, the likeliest first. Move nothing until a reading has told which.",
    ...named.map((story, k) => `${k + 1}. ${capitalised(storyText(story, job))}${inBrackets(story)}.`),
  ];
}

function inBrackets({ chance }: Story): string {
  const text = printedChance(chance);
  return text === null ? "" : ` (chance ${text})`;
}

/** What would close the cell with the largest deviation. */
function closingLine({ cells, job }: Explanation): string {
  const worst = present(
    cells.filter(({ joints }) => joints.length > 0).toSorted((a, b) => farthest(b) - farthest(a))[0],
  );
  const closing = present(worst.closing);
  const { before, after, remedies } = closing;
  const size = (mm: number): string => smallLength(mm, job.units);
  const { trial } = worst.cell;
  const limits = job.limits;
  if (before.gap <= limits.gap && before.press <= limits.snug)
    return `Cell ${trial} is within your limits as it is: widest gap ${size(before.gap)}, deepest press ${size(before.press)}.`;
  if (remedies.length === 0)
    return "No move that the readings are sure of would bring it closer to your limits.";
  const changes = (
    [
      ["widest gap", before.gap, after.gap],
      ["deepest press", before.press, after.press],
    ] as const
  ).filter(([, from, to]) => Math.abs(from - to) >= NOTICED);
  const then = changes.map(
    ([what, from, to]) => `the ${what} ${to > from ? "grows" : "falls"} from ${size(from)} to ${size(to)}`,
  );
  return `What closing cell ${trial} takes: ${remediesText(closing, job)}; ${then.join(", ")}. sukima calibrate gives the shims and steps.`;
}

/** A smaller change of a gap than this, mm, is not mentioned. */
const NOTICED = 0.002;

const farthest = ({ joints }: CellExplained): number =>
  Math.max(0, ...joints.map(({ gap }) => Math.abs(gap.mean)));

/** The reading that the card also asks for, in the same words, and what it would show about the stories. */
function nextLine({ job }: Explanation, next: NextCheck): string {
  const told = next.stories ? storiesToldText(next.stories, job) : "";
  if (next.why === "stories") {
    const { check } = next.stories;
    return check
      ? `To tell which of the first two it is: ${checkText(check.check, job)} ${told}`
      : "No single reading with the job's instruments would tell which of the first two it is.";
  }
  return [
    `${next.why === "moves" && next.first ? "Read this before you move anything" : "Read next"}: ${askedText(next, job)}`,
    told,
  ]
    .filter((text) => text !== "")
    .join(" ");
}

function askedText(next: Exclude<NextCheck, { why: "stories" }>, job: Job): string {
  if (next.why === "sign") return present(signReadingsText([next.sign], job)[0]);
  if (next.why === "combination") return present(separatingText([next.separating], job)[0]);
  const { reading } = next.named;
  if (!next.first) return tellingText(reading, job);
  const [, reason] = readTexts(reading, job);
  return `${readingName(reading, job)}. ${reason}`;
}

function storiesToldText({ check }: StoriesTold, job: Job): string {
  if (!check) return "";
  const [a, b] = foreseenTexts(check, job);
  return `It should show ${a} if the first story is true, ${b} if the second. It points the right way ${chanceText(check.right)} of the time.`;
}
