import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import type { ResultUnit } from "../../core/quantity/index.js";
import type { Job } from "../../model/job/job.js";
import { predictAsMade } from "../../physics/fitting/fit-lengths.js";
import { type CellDrawingInput, cellDrawing, commonMagnification } from "../../render/cell/cell-drawing.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import type { HtmlOutput } from "../../render/notebook/display.js";
import type { JobPicture } from "../../render/pictures.js";
import { chanceText, smallUnit } from "../../render/shop-numbers.js";
import type { Drawing } from "../../render/svg.js";
import { type Figure, resultTable } from "../../render/text.js";
import { bestCheck, wouldSee } from "./best-check.js";
import { usualErrors } from "./causes.js";
import { type Explanation, explainCells, type JudgedHypothesis } from "./explain-cells.js";
import {
  checkLines,
  checkText,
  hypothesisName,
  hypothesisSizeText,
  sideText,
  signLines,
} from "./explanation-text.js";
import { WORTH_A_WORD } from "./pattern-book.js";
import type { SizeFound } from "./weigh-hypothesis.js";

/** Causes less probable than this stand together in the last row: so little is drawn of them that their sizes mean nothing. */
const NAMED = 0.005;

/** The hypotheses of an explanation, the likeliest first; in per cent; at most `most` of them, all others together in the last row. */
export function explanationTable({ job, hypotheses }: Explanation, most = 6): HtmlOutput {
  const sorted = [...hypotheses].sort((a, b) => b.probability - a.probability);
  const named = sorted.slice(0, most).filter(({ probability }) => probability >= NAMED);
  const others = sorted.slice(named.length);
  const share = (pick: (judged: JudgedHypothesis) => number) => (row: JudgedHypothesis | null) => ({
    ...{ value: row ? pick(row) : others.reduce((sum, one) => sum + pick(one), 0), digits: 1 },
    unit: "%" as const,
  });
  return resultTable<JudgedHypothesis | null>(
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
export function unseenTable(explanation: Explanation): HtmlOutput {
  const { job } = explanation;
  return resultTable(wouldSee(explanation).byCause, [
    { heading: "cause", cell: ({ judged }) => hypothesisName(judged) },
    {
      heading: "may be, unseen (95 %)",
      cell: ({ judged }) => figureOf(judged, job, ({ interval: [value, to] }) => ({ value, to })),
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
  const [first, second] = [...explanation.hypotheses].sort((a, b) => b.probability - a.probability);
  const check = bestCheck(explanation, first!, second!);
  const lines = [...checkLines(explanation, first!, second!, check), ...signLines(explanation)];
  return lines.filter((line) => line !== "").join(" ");
}

function figureOf(
  { causes, sizes }: JudgedHypothesis,
  { units }: Job,
  pick: (size: SizeFound) => Pick<Figure, "value" | "to">,
): Figure | null {
  const [cause, ...others] = causes;
  if (!cause || others.length > 0) return null;
  const unit: ResultUnit = cause.measure === "angle" ? "deg" : smallUnit(units);
  return { ...pick(at(sizes, 0)), unit, signed: true };
}

/** Causes as probable as this are drawn, at most {@link MOST_DRAWN}. */
const DRAWN = 0.05;
const MOST_DRAWN = 3;

/** As in the pattern book, what narrow strips can tell counts as seen, however deep a press the job allows. */
const limitsOf = ({ limits: { gap, snug } }: Job) => ({
  gapLimit: gap,
  snugLimit: Math.min(WORTH_A_WORD, snug),
});

/** Size and scale of the drawing of a hypothesis. */
export interface CauseDrawingOptions {
  /** Width of the drawing, pixels. */
  readonly width?: number;
  /** How many times life size movements are drawn; default to suit. */
  readonly magnification?: number;
}

/** What the cell looks like if it is this cause, at its most probable size and with no scatter. */
export function causeDrawing(
  explanation: Explanation,
  judged: JudgedHypothesis,
  options: CauseDrawingOptions = {},
): Drawing {
  const { job } = explanation;
  const what = [hypothesisName(judged), hypothesisSizeText(judged, job), sideText(judged)].filter(
    (text) => text !== "",
  );
  return cellDrawing(cellIf(explanation, judged), {
    ...{ ...options, ...limitsOf(job), unit: smallUnit(job.units) },
    title: `If it is: ${what.join(", ")}; ${chanceText(judged.probability)} likely`,
  });
}

function cellIf({ job, specimen }: Explanation, { causes, sizes }: JudgedHypothesis): CellDrawingInput {
  const errors = usualErrors(job, specimen);
  for (const [k, { on, priorMean }] of causes.entries()) {
    const direction = on(specimen);
    for (let e = 0; e < errors.length; e++)
      errors[e] = at(errors, e) + (at(sizes, k).size - priorMean) * at(direction, e);
  }
  return { cell: specimen.cell, ...predictAsMade(job, specimen.cell, errors, false) };
}

/** The likely causes, drawn to one magnification, so that they can be compared; none where no cause is identified. */
export function causeDrawings(explanation: Explanation, options: CauseDrawingOptions = {}): Drawing[] {
  if (explanation.outcome !== "identified") return [];
  const likely = explanation.hypotheses
    .filter(({ probability, causes }) => probability >= DRAWN && causes.length === 1)
    .slice(0, MOST_DRAWN);
  const cells = likely.map((judged) => cellIf(explanation, judged));
  const magnification = commonMagnification(cells, limitsOf(explanation.job));
  return likely.map((judged) => causeDrawing(explanation, judged, { magnification, ...options }));
}

const offered = (which: string, at: number): JobPicture => ({
  ...{
    name: `cause-${at + 1}`,
    shows: `the cell if it is the ${which} of the likely causes`,
    needs: "readings",
  },
  async draw({ job, readings, seed }) {
    const drawings = causeDrawings(explainCells(job, readings, { seed }));
    const spec = drawings[at];
    if (spec) return drawChart(spec);
    throw new UserError(
      "picture",
      `There is no “cause-${at + 1}”: the gaps of this job's cells leave ${drawings.length} likely single causes to draw.`,
    );
  },
});

/** Pictures of an explanation. */
export const CAUSE_PICTURES: readonly JobPicture[] = ["likeliest", "second", "third"].map(offered);
