import { cellDrawing } from "../charts/cell-drawing.js";
import type { ChartSpec } from "../charts/chart-spec.js";
import type { Explanation, Verdict } from "../explain/explain-cells.js";
import { usualErrors } from "../explain/hypothesis.js";
import { predictCell } from "../predict/predict-cell.js";
import { hypothesisName, sideText, sizeText } from "./text/explanation-text.js";
import { chanceText } from "./text/shop-numbers.js";

/** Causes as probable as this are drawn, at most {@link MOST_DRAWN}. */
const DRAWN = 0.05;
const MOST_DRAWN = 3;

/** What the cell looks like if it is this cause, at its most probable size and with no scatter. */
export function verdictDrawing(
  { job, specimen }: Explanation,
  verdict: Verdict,
  options: { readonly width?: number } = {},
): ChartSpec {
  const { causes, sizes, probability } = verdict;
  const errors = usualErrors(job, specimen);
  for (const [k, { on, expected }] of causes.entries()) {
    const direction = on(specimen);
    for (let e = 0; e < errors.length; e++) errors[e]! += (sizes[k]!.size - expected) * direction[e]!;
  }
  const prediction = predictCell(specimen.cell, errors, job);
  const what = [hypothesisName(verdict), sizeText(verdict, job), sideText(verdict)].filter(
    (text) => text !== "",
  );
  return cellDrawing(
    { cell: specimen.cell, errors, prediction },
    {
      ...options,
      title: `If it is: ${what.join(", ")}; ${chanceText(probability)} likely`,
      unit: job.units === "mm" ? "mm" : "thou",
      gapLimit: job.limits.gap,
      snugLimit: job.limits.snug,
    },
  );
}

/** The likely causes, drawn; none where nothing is told. */
export function verdictDrawings(
  explanation: Explanation,
  options: { readonly width?: number } = {},
): ChartSpec[] {
  if (explanation.told !== "told") return [];
  return explanation.verdicts
    .filter(({ probability, causes }) => probability >= DRAWN && causes.length === 1)
    .slice(0, MOST_DRAWN)
    .map((verdict) => verdictDrawing(explanation, verdict, options));
}
