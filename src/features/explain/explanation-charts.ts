import type { Job } from "../../model/job/job.js";
import { predictAsMade } from "../../physics/fitting/fit-lengths.js";
import { type CellDrawingInput, cellDrawing, commonMagnification } from "../../render/cell/cell-drawing.js";
import type { ChartSpec } from "../../render/charts/chart-spec.js";
import { chanceText } from "../../render/shop-numbers.js";
import { SEEN } from "./cause-book.js";
import type { Explanation, Verdict } from "./explain-cells.js";
import { hypothesisName, sideText, sizeText } from "./explanation-text.js";
import { usualErrors } from "./hypothesis.js";

/** Causes as probable as this are drawn, at most {@link MOST_DRAWN}. */
const DRAWN = 0.05;
const MOST_DRAWN = 3;

/** As in the pattern book, what narrow strips can tell counts as seen, however deep a press the job allows. */
const limitsOf = ({ limits: { gap, snug } }: Job) => ({ gapLimit: gap, snugLimit: Math.min(SEEN, snug) });

export interface VerdictDrawingOptions {
  readonly width?: number;
  /** How many times life size movements are drawn; default to suit. */
  readonly magnification?: number;
}

/** What the cell looks like if it is this cause, at its most probable size and with no scatter. */
export function verdictDrawing(
  explanation: Explanation,
  verdict: Verdict,
  options: VerdictDrawingOptions = {},
): ChartSpec {
  const { job } = explanation;
  const what = [hypothesisName(verdict), sizeText(verdict, job), sideText(verdict)].filter(
    (text) => text !== "",
  );
  return cellDrawing(cellIf(explanation, verdict), {
    ...{ ...options, ...limitsOf(job), unit: job.units === "mm" ? "mm" : "thou" },
    title: `If it is: ${what.join(", ")}; ${chanceText(verdict.probability)} likely`,
  });
}

function cellIf({ job, specimen }: Explanation, { causes, sizes }: Verdict): CellDrawingInput {
  const errors = usualErrors(job, specimen);
  for (const [k, { on, priorMean }] of causes.entries()) {
    const direction = on(specimen);
    for (let e = 0; e < errors.length; e++) errors[e]! += (sizes[k]!.size - priorMean) * direction[e]!;
  }
  return { cell: specimen.cell, ...predictAsMade(job, specimen.cell, errors, false) };
}

/** The likely causes, drawn to one magnification, so that they can be compared; none where nothing is told. */
export function verdictDrawings(explanation: Explanation, options: VerdictDrawingOptions = {}): ChartSpec[] {
  if (explanation.told !== "told") return [];
  const likely = explanation.verdicts
    .filter(({ probability, causes }) => probability >= DRAWN && causes.length === 1)
    .slice(0, MOST_DRAWN);
  const cells = likely.map((verdict) => cellIf(explanation, verdict));
  const magnification = commonMagnification(cells, limitsOf(explanation.job));
  return likely.map((verdict) => verdictDrawing(explanation, verdict, { magnification, ...options }));
}
