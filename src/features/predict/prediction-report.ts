import { isUserError, UserError } from "../../core/errors.js";
import { loadJob } from "../../io/job/load-job.js";
import type { Cell } from "../../model/cell/cell.js";
import { shortJointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import { jobAsCut, jobCell } from "../../model/job/job-cell.js";
import { type FittedGroup, predictAsMade } from "../../physics/fitting/fit-lengths.js";
import { type CellPrediction, type ProbeGap, predictCell } from "../../physics/predict/predict-cell.js";
import { answerText } from "../../render/cautions.js";
import { cellDrawing } from "../../render/cell/cell-drawing.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import type { JobPicture } from "../../render/pictures.js";
import { CLOSED, cellText, pieceRows, stopRows, verdictWords } from "../../render/shared-text.js";
import { pieceLength, signed, smallLength, smallUnit } from "../../render/shop-numbers.js";
import { textTable, wrapped } from "../../render/text.js";

export interface PredictFlags {
  readonly json?: boolean;
  readonly details?: boolean;
  readonly lengths?: Job["lengths"];
}

/** The job with its pieces taken another way than its file says. */
export const withLengths = (job: Job, lengths: Job["lengths"] | undefined): Job =>
  lengths === undefined ? job : { ...job, lengths };

/** `sukima predict FILE`: the gaps of the job's cell as it was cut, or with its pieces fitted by trial. */
export function predictCommand(file: string, { json, details, lengths }: PredictFlags): string {
  const job = withLengths(loadJob(file), lengths);
  const cell = jobCell(job);
  const { prediction, groups } = asCutSeated(job, cell);
  if (json) return predictionJson(prediction, groups);
  return predictionText(job, cell, prediction, { groups, details: details ?? false });
}

/** Whatever cannot be seated here comes from the errors that the job lists. */
function asCutSeated(job: Job, cell: Cell): ReturnType<typeof predictAsMade> {
  try {
    return predictAsMade(job, cell, jobAsCut(job, cell));
  } catch (error) {
    if (!isUserError(error, "cutting-error", "seating") || error.key.length > 0) throw error;
    throw new UserError(error.code, error.message, { key: ["as-cut"], cause: error });
  }
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

/** A joint's gap or press as the table prints it: what is the same there keeps the order of the joints. */
const sizeOf = ({ gap }: Pick<ProbeGap, "gap">): number => Math.round(Math.abs(gap) / PRINTED);
const PRINTED = 0.001;

/** How a prediction is told. */
interface PredictionTextOptions {
  /** How the pieces were fitted by trial; `null` (default) where they are as cut. */
  readonly groups?: readonly FittedGroup[] | null;
  /** Whether every joint, the pieces and the stops follow; default true. */
  readonly details?: boolean;
}

/** A prediction for reading: whether the cell closes and its widest joints; then every joint, the nominal pieces and the settings of their stops. */
export function predictionText(
  job: Job,
  cell: Cell,
  prediction: CellPrediction,
  { groups = null, details = true }: PredictionTextOptions = {},
): string {
  const { units } = job;
  const { firstOrderDifference, order, openArea } = prediction;
  const probes = [...prediction.probes].sort((a, b) => sizeOf(b) - sizeOf(a));
  const few = groups === null ? FEW : FEW_FITTED;
  const off = probes.filter(({ gap }) => Math.abs(gap) >= CLOSED);
  const stops = [
    "Stops: from the tip at the start of the piece to where the cut crosses its middle line",
    textTable(["cut", "jig angle", "stop"], stopRows(cell, units), [1, 2]),
  ];
  return answerText({
    answer: [
      ...(job.title === "" ? [] : [job.title]),
      cellText(job),
      wrapped(closingText(job, prediction, groups !== null)),
      ...(off.length === 0
        ? ["Every joint is closed.", "", ...stops]
        : ["", probesTable(off.slice(0, few), units, wordsOf(cell)), ...moreText(off.length - few)]),
      ...slidText(prediction),
      ...(groups === null ? [] : fittedText(groups, job).map((line) => wrapped(line))),
    ],
    details: [
      "EVERY JOINT",
      probesTable(probes, units, wordsOf(cell)),
      wrapped(
        `${order === "exact" ? "Exact" : "First"} order; the other differs by at most ${smallLength(firstOrderDifference, units)}. Open along the joints: ${areaText(openArea, units)}.`,
      ),
      ...(cell.depth === undefined
        ? []
        : [
            wrapped(
              `Strips ${pieceLength(cell.depth, units)} deep: each joint is read at the front, towards you, and at the back; a ramp that leans makes them differ. The widest gap and the deepest press are over both, the area is their mean.`,
            ),
          ]),
      ...(groups === null ? [] : ["", ...trimTable(groups, job)]),
      "",
      "Pieces at nominal size",
      textTable(["piece", "how many", "tip to tip"], pieceRows(cell, units), [1, 2]),
      ...(off.length === 0 ? [] : ["", ...stops]),
    ],
    wanted: details,
  });
}

/** Joints shown in the answer, and where what fitting took has to be told as well. */
const FEW = 5;
const FEW_FITTED = 3;

const moreText = (more: number): string[] =>
  more <= 0 ? [] : [`and ${more} more ${more === 1 ? "place is" : "places are"} open or pressed.`];

const slidText = ({ slid }: CellPrediction): string[] =>
  slid.length === 0
    ? []
    : [
        wrapped(
          `Slid past each other: ${slid.join(", ")}. The pieces float sideways there; take these gaps as a warning, not as a measure.`,
        ),
      ];

/** The names that makers say of a cell's joints, by the full names: `hinge-1 tip on wall-left`. */
function wordsOf(cell: Cell): (joint: string) => string {
  const short = shortJointNames(cell);
  return (joint) => short.get(joint) ?? joint;
}

function probesTable(
  probes: readonly ProbeGap[],
  units: Job["units"],
  named: (joint: string) => string,
): string {
  const sided = probes.some(({ side }) => side !== undefined);
  return textTable(
    ["joint", "end", ...(sided ? ["side"] : []), "gap", ""],
    probes.map((probe) => [
      ...[named(probe.joint), probe.at, ...(sided ? [probe.side ?? ""] : [])],
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
  const gap = `widest gap ${smallLength(widestGap, units)} (limit ${smallLength(limits.gap, units)})`;
  const press = smallLength(deepestPress, units);
  const lengths = fitted ? "fitted" : "as-cut";
  const verdict = verdictWords({ widestGap, deepestPress }, { limits, lengths }).toUpperCase();
  if (!fitted)
    return `${verdict}: ${gap}, deepest press ${press} (limit ${smallLength(limits.snug, units)}).`;
  return `${verdict}: ${gap}. Deepest press with all pieces in ${press}: pieces that go in later press on those before.`;
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
  ];
}

/** What a maker must know of the fitting before cutting. */
function fittedText(groups: readonly FittedGroup[], { units, limits }: Job): string[] {
  const short = groups.filter(({ wanted }) => wanted > 0).flatMap(({ pieces }) => pieces);
  const jumped = groups.filter(({ status }) => status === "jumped").map(({ name }) => name);
  return [
    `Each piece is fitted by trial to ${smallLength(limits.snug, units)} press.`,
    ...(short.length === 0
      ? []
      : [
          `Too short as cut to fit that tightly: ${short.join(", ")}. A piece cannot be lengthened. The gaps above are those of pieces that start longer; left as they are, these go in looser.`,
        ]),
    ...(jumped.length === 0
      ? []
      : [`Fitted just short of where the pieces snap into another place: ${jumped.join(", ")}.`]),
  ];
}

/** The cell of a job as it was cut. */
export const CELL_PICTURE: JobPicture = {
  name: "cell",
  shows: "the cell as it was cut",
  needs: "job",
  draw({ job }) {
    const cell = jobCell(job);
    const errors = jobAsCut(job, cell);
    return drawChart(
      cellDrawing(
        { cell, errors, prediction: predictCell(cell, errors, job) },
        {
          title: "The cell as it was cut",
          unit: smallUnit(job.units),
          gapLimit: job.limits.gap,
          snugLimit: job.limits.snug,
        },
      ),
    );
  },
};
