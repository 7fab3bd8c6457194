import { loadJob } from "../../io/job/load-job.js";
import type { Cell } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import { jobAsCut, jobCell } from "../../model/job/job-cell.js";
import { type FittedGroup, predictAsMade } from "../../physics/fitting/fit-lengths.js";
import { type CellPrediction, type ProbeGap, predictCell } from "../../physics/predict/predict-cell.js";
import { CAUTIONS } from "../../render/cautions.js";
import { cellDrawing } from "../../render/cell/cell-drawing.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import type { JobPicture } from "../../render/pictures.js";
import { cellText, pieceRows, stopRows } from "../../render/shared-text.js";
import { pieceLength, signed, smallLength, smallUnit } from "../../render/shop-numbers.js";
import { textTable, wrapped } from "../../render/text.js";

export interface PredictFlags {
  readonly json?: boolean;
  readonly lengths?: Job["lengths"];
}

/** The job with its pieces taken another way than its file says. */
export const withLengths = (job: Job, lengths: Job["lengths"] | undefined): Job =>
  lengths === undefined ? job : { ...job, lengths };

/** `sukima predict FILE`: the gaps of the job's cell as it was cut, or with its pieces fitted by trial. */
export function predictCommand(file: string, { json, lengths }: PredictFlags): string {
  const job = withLengths(loadJob(file), lengths);
  const cell = jobCell(job);
  const { prediction, groups } = predictAsMade(job, cell, jobAsCut(job, cell));
  return json ? predictionJson(prediction, groups) : predictionText(job, cell, prediction, groups);
}

function predictionJson(
  { probes, widestGap, deepestPress, order, firstOrderDifference }: CellPrediction,
  groups: readonly FittedGroup[] | null,
): string {
  const cell = {
    probes,
    widestGap,
    deepestPress,
    order,
    firstOrderDifference,
  } satisfies Partial<CellPrediction>;
  return JSON.stringify(groups === null ? cell : { ...cell, fitted: groups }, null, 1);
}

/** Gaps smaller than this, mm, are called closed: less than any feeler can tell. */
const CLOSED = 0.005;

/** A joint's gap or press as the table prints it: what is the same there keeps the order of the joints. */
const sizeOf = ({ gap }: Pick<ProbeGap, "gap">): number => Math.round(Math.abs(gap) / PRINTED);
const PRINTED = 0.001;

/**
 * A prediction for reading: worst joints first, then the nominal pieces and the settings of their stops.
 *
 * @param groups how the pieces were fitted by trial; `null` (default) where they are as cut.
 */
export function predictionText(
  job: Job,
  cell: Cell,
  prediction: CellPrediction,
  groups: readonly FittedGroup[] | null = null,
): string {
  const { units } = job;
  const { firstOrderDifference, order, openArea } = prediction;
  const probes = [...prediction.probes].sort((a, b) => sizeOf(b) - sizeOf(a));
  return [
    ...(job.title === "" ? [] : [job.title]),
    `${cellText(job)}, ${order} order`,
    "",
    probesTable(probes, units),
    "",
    ...(cell.depth === undefined
      ? []
      : [
          wrapped(
            `Strips ${pieceLength(cell.depth, units)} deep: each joint is read at the front, towards you, and at the back; a ramp that leans makes them differ. The widest gap and the deepest press are over both, the area is their mean.`,
          ),
        ]),
    wrapped(
      `${closingText(job, prediction, groups !== null)} Open along the joints: ${areaText(openArea, units)}. First and exact order differ by at most ${smallLength(firstOrderDifference, units)}.`,
    ),
    ...(prediction.slid.length === 0
      ? []
      : [
          wrapped(
            `Slid past each other: ${prediction.slid.join(", ")}. The pieces float sideways there; take these gaps as a warning, not as a measure.`,
          ),
        ]),
    ...(groups === null
      ? []
      : ["", ...trimTable(groups, job), "", ...CAUTIONS.map((caution) => wrapped(`! ${caution}`))]),
    "",
    "Pieces at nominal size",
    textTable(["piece", "how many", "tip to tip"], pieceRows(cell, units), [1, 2]),
    "",
    "Stops: from the tip at the start of the piece to where the cut crosses its middle line",
    textTable(["cut", "jig angle", "stop"], stopRows(cell, units), [1, 2]),
    "",
  ].join("\n");
}

function probesTable(probes: readonly ProbeGap[], units: Job["units"]): string {
  const sided = probes.some(({ side }) => side !== undefined);
  return textTable(
    ["joint", "end", ...(sided ? ["side"] : []), "gap", ""],
    probes.map((probe) => [
      ...[probe.joint, probe.at, ...(sided ? [probe.side ?? ""] : [])],
      ...[smallLength(Math.abs(probe.gap), units), stateOf(probe)],
    ]),
    [sided ? 3 : 2],
  );
}

function closingText(
  { units, limits }: Job,
  { widestGap, deepestPress }: CellPrediction,
  fitted: boolean,
): string {
  const gap = `Widest gap ${smallLength(widestGap, units)} (limit ${smallLength(limits.gap, units)})`;
  const press = smallLength(deepestPress, units);
  const says = (closes: boolean): string => `the cell ${closes ? "closes" : "does not close"}.`;
  if (!fitted)
    return `${gap}, deepest press ${press} (limit ${smallLength(limits.snug, units)}): ${says(widestGap <= limits.gap && deepestPress <= limits.snug)}`;
  return `${gap}: ${says(widestGap <= limits.gap)} Deepest press with all pieces in ${press}: pieces that go in later press on those before.`;
}

function stateOf({ gap }: ProbeGap): string {
  if (Math.abs(gap) < CLOSED) return "closed";
  return gap > 0 ? "open" : "pressed";
}

function areaText(mm2: number, units: Job["units"]): string {
  return units === "mm" ? `${mm2.toFixed(3)} mm²` : `${(mm2 / 25.4 ** 2).toFixed(6)} in²`;
}

/** What was done to each piece that was fitted by trial, for reading. */
function trimTable(groups: readonly FittedGroup[], { units, limits }: Job): string[] {
  const length = (mm: number): string => smallLength(mm, units);
  const short = groups.filter(({ wanted }) => wanted > 0).flatMap(({ pieces }) => pieces);
  const jumped = groups.filter(({ status }) => status === "jumped").map(({ name }) => name);
  return [
    `Each piece fitted by trial to ${length(limits.snug)} press, in this order; what its end takes, as against the length it was cut to`,
    textTable(
      ["piece", "change of length", "pressed by", ""],
      groups.flatMap(({ pieces, offset, press }) =>
        pieces.map((piece) => [
          piece,
          signed(length(offset)),
          length(press),
          offset > 0 ? "would have to be longer" : "comes off",
        ]),
      ),
      [1, 2],
    ),
    ...(short.length === 0
      ? []
      : [
          "",
          wrapped(
            `Shorter as cut than fits so: ${short.join(", ")}. No piece can be lengthened: the gaps above are those of pieces that start longer by that much; left as they are, they go in looser.`,
          ),
        ]),
    ...(jumped.length === 0
      ? []
      : [wrapped(`Fitted just short of where the pieces snap into another place: ${jumped.join(", ")}.`)]),
  ];
}

/** The cell of a job as it was cut. */
export const CELL_PICTURE: JobPicture = {
  ...{ name: "cell", shows: "the cell as it was cut", needs: "job" },
  draw({ job }) {
    const cell = jobCell(job);
    const errors = jobAsCut(job, cell);
    return drawChart(
      cellDrawing(
        { cell, errors, prediction: predictCell(cell, errors, job) },
        {
          ...{ title: "The cell as it was cut", unit: smallUnit(job.units) },
          ...{ gapLimit: job.limits.gap, snugLimit: job.limits.snug },
        },
      ),
    );
  },
};
