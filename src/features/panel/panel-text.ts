import { at } from "../../core/numeric/dense.js";
import type { Estimated } from "../../inference/forecast/tally-blocks.js";
import { answerText } from "../../render/cautions.js";
import { evidenceText } from "../../render/evidence-text.js";
import {
  chanceText,
  expandedParts,
  pieceLength,
  shareText,
  smallLength,
  smallUnit,
} from "../../render/shop-numbers.js";
import { capitalised } from "../../render/source-text.js";
import { textTable, wrapped } from "../../render/text.js";
import type { ThreeWayShape } from "./grid-shape.js";
import type { OverPanels, PanelPrediction } from "./panel-prediction.js";
import {
  countText,
  panelBudgetTable,
  panelGridText,
  panelWaysTable,
  WAY_WORDS,
  withinText,
} from "./panel-tables.js";

type Units = PanelPrediction["job"]["units"];

/** A panel as text: the short answer, the cells, the map, what drives it, its size, and how reliable it is. */
export function panelText(prediction: PanelPrediction, details = true): string {
  const { job, shape, way, panels, closes, refits, open, tight, places } = prediction;
  const { units, limits } = job;
  const { rows, columns } = shape.panel;
  const length = (mm: number): string => smallLength(mm, units);
  const line = (name: string, text: string): string => `${name.padEnd(30)}${text}`;
  const answer = [
    evidenceText(prediction.posterior),
    ...(job.title === "" ? [] : [job.title]),
    `${rows} × ${columns} cells (rows × columns), ${openingText(prediction)}, strips ${pieceLength(job.strip, units)}`,
    ...(shape.kind === "three-way" ? [wrapped(halvesSentence(shape))] : []),
    "",
    "IN SHORT",
    wrapped(shortAnswer(prediction)),
    wrapped("Cut trial pieces, measure them, and fit one cell dry before you cut for the whole panel."),
  ];
  const rest = [
    wrapped(runSentence(prediction)),
    "",
    `THE PANELS TO COME, pieces ${WAY_WORDS[way].short}`,
    line("every cell closes", withinText(closes)),
    line("  if cells failed one by one", shareText(prediction.closesUnshared)),
    line(
      `cells to re-fit, of ${places.length}`,
      `${countText(refits.mean)} on average; ${spreadOfCounts(refits)}`,
    ),
    line(`  gap over ${length(limits.gap)}`, countText(open)),
    ...(way === "fitted" ? [] : [line(`  press over ${length(limits.snug)}`, countText(tight))]),
    line("widest gap of a panel", spreadOfLengths(prediction.widestGap, units)),
    line("deepest press", spreadOfLengths(prediction.deepestPress, units)),
    "",
    ...panelMapText(prediction),
    "",
    ...waysLines(prediction),
    ...panelBudgetText(prediction),
    "",
    "THE GRID",
    ...panelGridText(prediction),
    "",
    ...(prediction.orders === null ? [] : [wrapped(ordersSentence(prediction.orders, prediction))]),
    ...(prediction.unfitted === 0
      ? []
      : [
          wrapped(
            `${prediction.unfitted.toLocaleString("en")} times the pieces could not be fitted by trial, however much came off: such errors are too large for these figures.`,
          ),
        ]),
    ...(job.asCut === null
      ? []
      : [wrapped("The errors of the one cell that the job describes as cut are not in these figures.")]),
    wrapped(
      `Each ± is for ${panels.toLocaleString("en")} simulated panels instead of infinitely many (95 %); it does not cover errors in the job's own figures.${prediction.posterior.basis.readings > 0 ? "" : " Jigs and stops are taken as the job trusts them: cut and measure trial pieces, and their readings are counted in."}`,
    ),
  ];
  return answerText({ answer, details: rest, wanted: details });
}

function openingText({ job, shape }: PanelPrediction): string {
  const { width, height } = shape.opening;
  const text = (mm: number): string => pieceLength(mm, job.units);
  if (shape.kind === "three-way") return `triangles of ${text(width)} a side`;
  const size = Math.abs(width - height) < 1e-9 ? text(width) : `${text(width)} wide and ${text(height)} high`;
  return `openings ${size}`;
}

const halvesSentence = ({ grid }: ThreeWayShape): string =>
  `The first cell of row 1 stands on its point, and from there every second one along a row and down a column. ${grid.halves} more are cut in half by the border, one at each end of a row: they are not in these figures, fit them by hand.`;

function runSentence({ panels, order, seed, status }: PanelPrediction): string {
  const run = `${panels.toLocaleString("en")} simulated panels, ${order} order, seed ${seed}`;
  return status === "stopped" ? `${run}: stopped early, this is what is known so far.` : `${run}.`;
}

function shortAnswer(prediction: PanelPrediction): string {
  const { closes, places, worstPlace, budget } = prediction;
  const of = places.length;
  const all =
    of === 1
      ? `The cell closes in ${chanceText(closes.value)} of the panels.`
      : `Every cell closes in ${chanceText(closes.value)} of the panels. ${capitalised(refitSentence(prediction))}`;
  const where = of === 1 || worstPlace.fails.value === 0 ? "" : ` ${whereSentence(prediction)}`;
  const [dearest] = budget?.sources ?? [];
  const why =
    dearest === undefined || !(dearest.fewerRefits.low > 0)
      ? ""
      : ` What costs most is the ${dearest.name}: if it did not vary, ${countText(dearest.fewerRefits)} fewer cells would need re-fitting.`;
  return all + where + why;
}

/** `About 10 of the 12 cells will need a piece re-fitted; 0 to 12 in nine panels of ten.` */
function refitSentence({ refits, places }: PanelPrediction): string {
  const mean = refits.mean.value;
  const about = mean < 1 ? "fewer than one" : `about ${Math.round(mean)}`;
  return `${about} of the ${places.length} cells will need a piece re-fitted (${rangeOf(refits)} in nine panels of ten).`;
}

function whereSentence({ worstPlace, worstStandsOut }: PanelPrediction): string {
  const place = `row ${worstPlace.row}, column ${worstPlace.column}: ${withinText(worstPlace.fails)}`;
  return worstStandsOut
    ? `The place that fails most often is ${place}.`
    : `No place stands out: the one that failed most often, ${place}, may have done so by chance.`;
}

const some = (cells: number): string => (cells === 0 ? "none" : String(cells));

/** `0 to 4`: the central 90 % range over panels. */
function rangeOf({ quantiles }: OverPanels): string {
  const [low, high] = [at(quantiles, 0).value, at(quantiles, quantiles.length - 1).value];
  return low === high ? some(low) : `${low} to ${high}`;
}

function spreadOfCounts(counts: OverPanels): string {
  const middle = at(counts.quantiles, 1).value;
  return `half of the panels ${middle === 0 ? "" : "at most "}${some(middle)}, nine in ten ${rangeOf(counts)}`;
}

function spreadOfLengths({ quantiles }: OverPanels, units: Units): string {
  const [, middle, high] = quantiles.map((one) => lengthWithin(one, units));
  return `half of the panels under ${middle}, 95 % under ${high}`;
}

/** `0.0670 ± 0.0002 mm`. */
function lengthWithin({ value, low, high }: Estimated, units: Units): string {
  const half = (high - low) / 2;
  if (!(half > 0)) return smallLength(value, units);
  // The value is hardly distinguishable from zero, so the bound is more informative.
  if (half >= value) return smallLength(high, units);
  const parts = expandedParts(value, half, smallUnit(units));
  return `${parts.value} ± ${parts.uncertainty} ${smallUnit(units)}`;
}

function waysLines(prediction: PanelPrediction): string[] {
  const { ways } = prediction;
  if (ways === null) return [];
  return [
    "THREE WAYS TO MAKE IT, the same panels",
    panelWaysTable(prediction).text,
    ...ways.map((one) => wrapped(WAY_WORDS[one.way].long)),
    wrapped(`From ${at(ways, 0).panels.toLocaleString("en")} panels.`),
    "",
  ];
}

function ordersSentence(
  { panels, closes, refits, changed, difference }: NonNullable<PanelPrediction["orders"]>,
  answer: PanelPrediction,
): string {
  const half = ({ low, high }: Estimated): number => (high - low) / 2;
  const small =
    Math.abs(difference.closes.value) <= half(answer.closes) &&
    Math.abs(difference.refits.value) <= half(answer.refits.mean);
  const verdict = small
    ? "Their difference is within the ± of the answer above, which counts it."
    : "The answer above counts the difference; for the single cells run it again with --order exact.";
  return `First against exact order, the same ${panels.toLocaleString("en")} panels in both: every cell closes in ${withinText(closes.first)} and ${withinText(closes.exact)}, ${withinText(changed)} of the panels differ between the two; cells to re-fit ${countText(refits.first)} and ${countText(refits.exact)}. ${verdict}`;
}

/** Number of columns that fit side by side on a line. */
const MOST_COLUMNS = 14;

/** Where cells do not close, as a table of the panel, or as a reference to the drawing if the table is too wide. */
export function panelMapText({ places, shape, panels }: PanelPrediction): string[] {
  const { rows, columns } = shape.panel;
  const shares = places.map(({ fails }) => 100 * fails.value);
  const least = Math.min(...shares);
  const [most, halves] = [Math.max(...shares), places.map(({ fails }) => 50 * (fails.high - fails.low))];
  const digits = Math.max(...halves) < 0.5 ? 1 : 0;
  const heading = `WHERE: in how many of 100 panels each cell does not close, from ${least.toFixed(digits)} to ${most.toFixed(digits)}`;
  const trust = `Each good to ± ${Math.max(...halves).toFixed(1)} or better; ${panels.toLocaleString("en")} panels.`;
  if (columns > MOST_COLUMNS) return [heading, wrapped(`${trust} Draw the map with --out FOLDER.`)];
  const numbers = Array.from({ length: columns }, (_, k) => String(k + 1));
  return [
    heading,
    textTable(
      ["row", ...numbers],
      Array.from({ length: rows }, (_, row) => [
        String(row + 1),
        ...shares.slice(row * columns, (row + 1) * columns).map((share) => share.toFixed(digits)),
      ]),
      numbers.map((_, k) => k + 1),
    ),
    wrapped(trust),
  ];
}

/** What drives a panel, as lines of text. */
export function panelBudgetText(prediction: PanelPrediction): string[] {
  const { budget } = prediction;
  if (budget === null) return ["The causes were not worked out."];
  return [
    "WHAT DRIVES IT, costliest first: what would change if it did not vary",
    panelBudgetTable(prediction).text,
    "",
    panelBudgetTable(prediction, "together").text,
    wrapped(
      `From ${budget.panels.toLocaleString("en")} panels simulated again for each line. A batch that pieces and grid have in common counts with both. The lines do not add up: where two sources each fail the same cell, mending one does not close it. Below zero: its errors make up for others, or crowd the cells that fail into fewer panels. A source that does not vary stands where it is expected to be: at its label, or where readings or a record put it.`,
    ),
  ];
}
