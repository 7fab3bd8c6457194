import { bestCheck } from "../../explain/best-check.js";
import type { Explanation, Verdict } from "../../explain/explain-cells.js";
import type { SizeFound } from "../../explain/size-found.js";
import { wouldSee } from "../../explain/would-see.js";
import type { Job } from "../../job/job.js";
import type { ResultUnit } from "../../quantity/index.js";
import type { Html } from "../display/show.js";
import { checkText } from "./check-text.js";
import { checkLines, hypothesisName, sideText } from "./explanation-text.js";
import type { Figure } from "./figure.js";
import { resultTable } from "./result-table.js";

/** The hypotheses of an explanation, the likeliest first; at most `most` of them. */
export function explanationTable({ job, verdicts }: Explanation, most = 6): Html {
  const rows = [...verdicts].sort((a, b) => b.probability - a.probability).slice(0, most);
  return resultTable(rows, [
    { heading: "cause", cell: hypothesisName },
    { heading: "probability", cell: ({ probability }) => ({ value: probability, unit: "%", digits: 1 }) },
    { heading: "before", cell: ({ prior }) => ({ value: prior, unit: "%", digits: 1 }) },
    {
      heading: "if so, how large",
      cell: (one) => figureOf(one, job, ({ size }) => ({ value: size })),
    },
    {
      heading: "95 % interval",
      cell: (one) => figureOf(one, job, ({ interval: [value, to] }) => ({ value, to })),
    },
    { heading: "that is", cell: sideText },
  ]);
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
  return checkLines(explanation, first!, second!, bestCheck(explanation, first!, second!)).join(" ");
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
