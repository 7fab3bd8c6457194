import type { ResultUnit } from "../../core/quantity/index.js";
import type { Job } from "../../model/job/job.js";
import type { Html } from "../../render/notebook/display.js";
import { type Figure, resultTable } from "../../render/text.js";
import { bestCheck } from "./best-check.js";
import type { Explanation, Verdict } from "./explain-cells.js";
import { checkLines, checkText, hypothesisName, sideText, signLines } from "./explanation-text.js";
import { wouldSee } from "./resolve-sign.js";
import type { SizeFound } from "./weigh-hypothesis.js";

/** Causes less probable than this stand together in the last row: so little is drawn of them that their sizes mean nothing. */
const NAMED = 0.005;

/** The hypotheses of an explanation, the likeliest first; in per cent; at most `most` of them, all others together in the last row. */
export function explanationTable({ job, verdicts }: Explanation, most = 6): Html {
  const sorted = [...verdicts].sort((a, b) => b.probability - a.probability);
  const named = sorted.slice(0, most).filter(({ probability }) => probability >= NAMED);
  const others = sorted.slice(named.length);
  const share = (pick: (verdict: Verdict) => number) => (row: Verdict | null) => ({
    ...{ value: row ? pick(row) : others.reduce((sum, one) => sum + pick(one), 0), digits: 1 },
    unit: "%" as const,
  });
  return resultTable<Verdict | null>(
    [...named, ...(others.length > 0 ? [null] : [])],
    [
      { heading: "cause", cell: (row) => (row ? hypothesisName(row) : "all others together") },
      { heading: "probability", cell: share(({ probability }) => probability) },
      { heading: "before", cell: share(({ prior }) => prior) },
      {
        heading: "if so, how large",
        cell: (row) => row && figureOf(row, job, ({ size }) => ({ value: size })),
      },
      {
        heading: "95 % interval",
        cell: (row) => row && figureOf(row, job, ({ interval: [value, to] }) => ({ value, to })),
      },
      { heading: "that is", cell: (row) => (row ? sideText(row) : "") },
    ],
  );
}

/** What may be wrong with cells that tell nothing, and the reading that would see it. */
export function unseenTable(explanation: Explanation): Html {
  const { job } = explanation;
  return resultTable(wouldSee(explanation).byCause, [
    { heading: "cause", cell: ({ verdict }) => hypothesisName(verdict) },
    {
      heading: "may be, unseen (95 %)",
      cell: ({ verdict }) => figureOf(verdict, job, ({ interval: [value, to] }) => ({ value, to })),
    },
    {
      heading: "what would see it",
      cell: ({ check }) => (check ? checkText(check.check) : "none of the job's instruments"),
    },
    { heading: "bits", cell: ({ check }) => (check ? { value: check.bits, unit: "none" } : null) },
  ]);
}

/** The check that best tells the two likeliest hypotheses apart, in words. */
export function checkSentences(explanation: Explanation): string {
  const [first, second] = [...explanation.verdicts].sort((a, b) => b.probability - a.probability);
  const check = bestCheck(explanation, first!, second!);
  const lines = [...checkLines(explanation, first!, second!, check), ...signLines(explanation)];
  return lines.filter((line) => line !== "").join(" ");
}

function figureOf(
  { causes, sizes }: Verdict,
  { units }: Job,
  pick: (size: SizeFound) => Pick<Figure, "value" | "to">,
): Figure | null {
  const [cause, ...others] = causes;
  if (!cause || others.length > 0) return null;
  const unit: ResultUnit = cause.measure === "angle" ? "deg" : units === "mm" ? "mm" : "thou";
  return { ...pick(sizes[0]!), unit, signed: true };
}
