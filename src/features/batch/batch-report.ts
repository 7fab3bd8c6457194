import { given } from "../../cli/arguments.js";
import { UserError } from "../../core/errors.js";
import { at, present } from "../../core/numeric/dense.js";
import { formatLength, type LengthUnit, parseLength } from "../../core/quantity/index.js";
import { loadJob } from "../../io/job/load-job.js";
import { likelySlip } from "../../io/likely-slip.js";
import type { Job } from "../../model/job/job.js";
import { answerText } from "../../render/cautions.js";
import type { ChartOptions } from "../../render/charts/chart-spec.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { runChart } from "../../render/charts/run-chart.js";
import { evidenceJson, evidenceText } from "../../render/evidence-text.js";
import type { TablePictures } from "../../render/pictures.js";
import {
  type AxisUnit,
  chanceText,
  expandedParts,
  pieceLength,
  quantityText,
  smallLength,
} from "../../render/shop-numbers.js";
import { textTable, wrapped } from "../../render/text.js";
import { type EvidenceFlags, folderPosterior } from "../evidence/index.js";
import { type BatchTable, loadBatchTable } from "./batch-table.js";
import { type BatchJudgement, judgeBatch, sizesOf } from "./batch-verdict.js";
import { type GoNoGo, goNoGoSizes, type PieceSizes } from "./go-no-go.js";
import { type BatchWatch, watchBatch } from "./watch-batch.js";

export interface BatchFlags extends EvidenceFlags {
  readonly json?: boolean;
  readonly details?: boolean;
  /** A job whose limits give go and no-go sizes. */
  readonly job?: string;
  /** Lengths as they were written; without a unit in that of the table. */
  readonly target?: string;
  readonly deviation?: string;
}

/** `sukima batch FILE`: whether a batch may be used, and whether its lengths or gaps stay where they were. */
export function batchCommand(
  file: string,
  flags: BatchFlags,
  onProgress: (step: string) => void = () => {},
): string {
  const { json, details, job, target, deviation } = flags;
  if (job === undefined && (flags.moved || flags.withoutReadings))
    throw new UserError(
      "usage",
      `--${flags.moved ? "moved" : "without-readings"} goes with --job only: a table of a batch by itself says nothing of jigs. Write for example --job my-screen`,
    );
  const table = loadBatchTable(file);
  const read = (what: string, text: string | undefined): number | undefined =>
    text === undefined ? undefined : parseLength(text, { unit: table.units, what, sign: "positive" });
  const watches = batchWatches(table, read("--target", target), read("--deviation", deviation));
  const loaded = job === undefined ? null : loadJob(job);
  const posterior =
    job === undefined || loaded === null ? null : folderPosterior(job, loaded, flags, onProgress);
  const found = loaded && goNoGoSizes(loaded, given({ posterior: posterior ?? undefined }));
  // Where cells do not close with every length right, no size of a length makes them.
  const sizes = found && found.closesAtNominal >= LENGTHS_MATTER ? found : null;
  if (json)
    return JSON.stringify(
      { ...(posterior && evidenceJson(posterior)), ...batchJson(watches, sizes) },
      null,
      1,
    );
  const first = [
    ...(posterior ? [evidenceText(posterior)] : []),
    ...(found && !sizes ? [wrapped(noSizesText(found))] : []),
  ];
  return [...first, batchText(watches, loaded, sizes, details ?? false)].join("\n");
}

/** A watch over each kind of piece in a table of a batch. */
export function batchWatches(table: BatchTable, target?: number, deviation?: number): NamedWatch[] {
  const pieces = [...new Set(table.rows.map(({ piece }) => piece))];
  return pieces.map((piece) => watched(table, piece, target, deviation));
}

function watched(
  { file, rows, what, units }: BatchTable,
  piece: string,
  target: number | undefined,
  deviation: number | undefined,
): NamedWatch {
  const own = rows.filter((row) => row.piece === piece);
  const values = own.map(({ value }) => value);
  const of = piece === "" ? "" : ` of ${piece}`;
  if (values.length < 2)
    throw new UserError(
      "command",
      `${file}: there must be two pieces${of} at least to see how they differ; the table has ${values.length}.`,
    );
  if (deviation === undefined && values.every((value) => value === values[0]))
    throw new UserError(
      "command",
      `${file}, column ${what}: all pieces${of} read the same, so that nothing shows how they scatter; read them finer, or give --deviation.`,
    );
  if (target !== undefined && what === "length") requireNear(target, values, of, units);
  const watch = watchBatch(values, given({ target, standardDeviation: deviation }));
  return { piece, what, units, ids: own.map(({ id }) => id), watch };
}

/** A target farther from every piece than this share of it was meant in another unit, or for another piece. */
const FAR = 0.2;

/** @throws UserError for a target that no piece is near. */
function requireNear(target: number, values: readonly number[], of: string, units: LengthUnit): void {
  const fits = (mm: number): boolean => values.some((value) => Math.abs(value - mm) <= FAR * value);
  if (fits(target)) return;
  const slip = likelySlip(target, "", units, fits);
  const size = (mm: number): string => pieceLength(mm, units);
  const meant =
    slip === undefined ? "" : `; ${slip.problem}, so write --target "${slip.meant}" if that is meant`;
  throw new UserError(
    "usage",
    `--target is ${size(target)}, and the pieces${of} are between ${size(Math.min(...values))} and ${size(Math.max(...values))} long${meant}.`,
  );
}

/** Pieces of one kind of a batch, watched. */
export interface NamedWatch {
  /** The piece; empty where the table names none. */
  readonly piece: string;
  readonly what: "length" | "gap";
  readonly units: "mm" | "in";
  readonly ids: readonly string[];
  readonly watch: BatchWatch;
}

/** A batch for reading: may it be used, how far is its mean off and by which stop, and the sizes to gauge it with; then the charts. */
function batchText(
  watches: readonly NamedWatch[],
  job: Job | null,
  sizes: GoNoGo | null,
  details: boolean,
): string {
  const units = job?.units ?? watches[0]?.units ?? "mm";
  return answerText({
    answer: [
      ...watches.flatMap((watch) => verdictLines(watch, job, sizes)),
      ...(sizes ? ["", ...sizeTable(sizes, units)] : []),
    ],
    details: [...watches.flatMap(watchLines), ...(sizes ? sizeNotes(sizes) : [])],
    wanted: details,
  });
}

/** Does the batch pass, how far is its mean off, and which stop does it. */
function verdictLines(named: NamedWatch, job: Job | null, sizes: GoNoGo | null): string[] {
  const { piece, what, units, ids, watch } = named;
  const own = sizes && what === "length" ? sizesOf(sizes, piece) : null;
  const judged = judgeBatch(watch, job, own);
  const of = piece === "" ? "" : ` of ${piece}`;
  return [
    `THE BATCH: ${what}${of}, ${watch.values.length} pieces`,
    wrapped(`${passText(judged, named, own)} ${steadyText(watch, ids, what)}`),
    ...(judged.off === null ? [] : [wrapped(meanText(judged, what, job?.units ?? units))]),
  ];
}

function passText(
  { passes, tooLong, tooShort }: BatchJudgement,
  { ids, watch }: NamedWatch,
  sizes: PieceSizes | null,
): string {
  const listed = (places: readonly number[]): string =>
    [...places.slice(0, FEW).map((i) => at(ids, i)), ...(places.length > FEW ? ["…"] : [])].join(", ");
  const all = watch.values.length;
  const refused = [
    ...(tooLong.length > 0
      ? [`${tooLong.length} of ${all} pieces will not go into the GO slot (${listed(tooLong)})`]
      : []),
    ...(tooShort.length > 0
      ? [`${tooShort.length} of ${all} pieces will go into the NO-GO slot (${listed(tooShort)})`]
      : []),
  ];
  if (passes === null) return "";
  if (passes) return "PASSES.";
  if (refused.length > 0) return `DOES NOT PASS: ${refused.join(", ")}.`;
  return sizes === null ? "DOES NOT PASS." : "DOES NOT PASS, though every piece is between its two sizes.";
}
const FEW = 6;

function meanText({ off, wanted, stops }: BatchJudgement, what: "length" | "gap", units: LengthUnit): string {
  if (off === null || wanted === null) return "";
  const [more, less] = what === "gap" ? ["wider", "narrower"] : ["longer", "shorter"];
  const size = sizeText(wanted, what, units);
  const unit = units === "mm" ? "mm" : "thou";
  const { value, uncertainty, mark } = expandedParts(Math.abs(off.mean), off.U, unit);
  if (Math.abs(off.mean) <= off.U)
    return `The mean is ${size} as far as these pieces can tell (± ${uncertainty}${mark}).`;
  const side = off.mean > 0 ? more : less;
  const far = `On average the pieces are ${value}${mark} ± ${uncertainty}${mark} ${side} than ${size}.`;
  if (what === "gap" || stops.length === 0) return far;
  const [stop] = stops;
  if (stops.length === 1)
    return `${far} The stop of ${stop} does it: it is set ${value}${mark} too ${off.mean > 0 ? "long" : "short"}.`;
  return `${far} The stops of ${stops.join(" and ")} set this length together: trial pieces and “sukima calibrate” say which one to move.`;
}

function watchLines({ piece, what, units, ids, watch }: NamedWatch): string[] {
  const { individuals, ewma, runLengths, target, targetFrom, creep, values } = watch;
  const size = (mm: number): string => sizeText(mm, what, units);
  const of = piece === "" ? "" : ` of ${piece}`;
  const named = (places: readonly number[]): string =>
    places.length === 0 ? "none" : places.map((i) => ids[i]).join(", ");
  return [
    `THE CHARTS: ${what}${of}, ${values.length} pieces`,
    textTable(
      ["chart", "lower limit", "middle", "upper limit", "beyond"],
      [
        [
          "single pieces",
          size(individuals.lower),
          size(target),
          size(individuals.upper),
          named(individuals.beyond),
        ],
        ["moving average", size(ewma.lower), size(target), size(ewma.upper), named(ewma.beyond)],
      ],
      [1, 2, 3],
    ),
    wrapped(
      `The middle is ${targetFrom === 0 ? "the target given" : `the mean of the first ${targetFrom} pieces`}; from piece to piece they scatter by ${smallLength(individuals.standardDeviation, units)} (moving ranges). The average gives the newest piece the weight ${ewma.weight} and the earlier ones ${Number((1 - ewma.weight).toFixed(3))}.`,
    ),
    ...(creep ? [wrapped(creepText(creep, units))] : []),
    "",
    textTable(
      ["pieces until a chart signals, on average", "single pieces", "moving average"],
      [
        ["nothing wrong", runLengths.individuals.inControl.toFixed(0), runLengths.ewma.inControl.toFixed(0)],
        [
          "a jump of 1 standard deviation",
          runLengths.individuals.jump.toFixed(0),
          runLengths.ewma.jump.toFixed(0),
        ],
        ["a creep of 0.1 a piece", runLengths.individuals.creep.toFixed(0), runLengths.ewma.creep.toFixed(0)],
      ],
      [1, 2],
    ),
    wrapped(
      `With nothing wrong, the moving average of a batch as long as this signals with a chance of ${chanceText(watch.falseAlarm)}.`,
    ),
    "",
  ];
}

function steadyText(
  { verdict, firstSignal, individuals, ewma, target }: BatchWatch,
  ids: readonly string[],
  what: string,
): string {
  const at = firstSignal === null ? "" : present(ids[firstSignal]);
  if (verdict === "steady") return "Steady: the stop has not moved.";
  if (verdict === "jumped") {
    const odd = individuals.beyond.map((i) => ids[i]).join(", ");
    return `Single pieces lie beyond their limits (${odd}), and the others are steady: measure those again, and look how they were held.`;
  }
  const last = present(ewma.averages.at(-1));
  const way = last > target ? (what === "gap" ? "wider" : "longer") : what === "gap" ? "narrower" : "shorter";
  return `The pieces are getting ${way}: the moving average shows it first at ${at}. Stop cutting, and check the stop before you cut more.`;
}

function creepText({ slope, interval }: NonNullable<BatchWatch["creep"]>, units: "mm" | "in"): string {
  const text = (mm: number): string =>
    units === "mm"
      ? formatLength(mm, { unit: "mm", digits: 4 })
      : formatLength(mm, { unit: "in", style: "thou", digits: 2 });
  const clear = interval[0] > 0 || interval[1] < 0;
  return `A straight line through all pieces changes by ${text(slope)} a piece (95 %: ${text(interval[0])} to ${text(interval[1])})${clear ? "" : ", which may be no change at all"}.`;
}

/** Below this share of cells that close with every length right, lengths are not what is wrong. */
const LENGTHS_MATTER = 0.5;

const noSizesText = ({ closesAtNominal }: GoNoGo): string =>
  `No GO and NO-GO sizes: with every length right only ${chanceText(closesAtNominal)} of the cells would close. Set the ramps right first, as the card says; “--moved” gives the sizes for the jigs after its moves.`;

function sizeTable({ pieces }: GoNoGo, units: LengthUnit): string[] {
  return [
    "GO AND NO-GO SIZES, tip to tip",
    textTable(
      ["piece", "nominal", "NO-GO slot", "GO slot", "master", "from the master"],
      pieces.map(({ kind, nominal, noGo, go, master, allowance }) => [
        kind,
        ...[nominal, noGo, go, master].map((mm) => quantityText(mm, units)),
        `± ${smallLength(allowance, units)}`,
      ]),
      [1, 2, 3, 4, 5],
    ),
    "The NO-GO slot must refuse the piece, the GO slot must take it.",
  ];
}

function sizeNotes({ closesAtNominal, closesAtWorst, fromReadings }: GoNoGo): string[] {
  return [
    "THE SIZES",
    wrapped(
      `Hold the first, a middle and the last piece of each stop against a master of the size given; take your instrument's own uncertainty off the allowance. With all lengths right ${chanceText(closesAtNominal)} of the cells close, with the worst combination of these sizes ${chanceText(closesAtWorst)} (${fromReadings ? "angles and stock as the readings have them" : "angles about their labels, everything else scattering as the job says"}).`,
    ),
  ];
}

const sizeText = (mm: number, what: "length" | "gap", units: "mm" | "in"): string =>
  what === "gap" ? smallLength(mm, units) : fine(mm, units);

/** Lengths of a batch differ in their last digits: mm to the thousandth, or inches to the ten-thousandth. */
const fine = (mm: number, units: "mm" | "in"): string =>
  units === "mm" ? formatLength(mm, { unit: "mm", digits: 3 }) : formatLength(mm, { unit: "in", digits: 4 });

/** A batch as plain data for other programs: mm, pieces by their ids. */
export function batchJson(watches: readonly NamedWatch[], sizes: GoNoGo | null): object {
  return {
    batches: watches.map(({ piece, what, ids, watch }) => {
      const named = (places: readonly number[]) => places.map((i) => ids[i]);
      const { individuals, ewma, firstSignal, ...rest } = watch;
      return {
        piece,
        what,
        ids,
        ...rest,
        firstSignal: firstSignal === null ? null : ids[firstSignal],
        individuals: { ...individuals, beyond: named(individuals.beyond), jumps: named(individuals.jumps) },
        ewma: { ...ewma, beyond: named(ewma.beyond) },
      };
    }),
    sizes,
  };
}

/** A batch piece by piece, with its moving average and the limits of both. */
export function drawBatch(
  { what, units, ids, piece, watch }: NamedWatch,
  options: Pick<ChartOptions, "width"> = {},
): Promise<Chart> {
  const { values, individuals, ewma, target } = watch;
  const unit: AxisUnit = what === "gap" && units === "in" ? "thou" : units;
  const named = what === "gap" ? "Gap" : "Length";
  const input = {
    rows: values.map((value, i) => ({ id: at(ids, i), value, average: at(ewma.averages, i) })),
    target,
    single: individuals,
    moving: ewma,
  };
  return drawChart(
    runChart(input, { ...options, unit, axisTitle: piece === "" ? named : `${named} of ${piece}` }),
  );
}

/** The pictures of a table of a batch, one for each kind of piece. */
export const BATCH_PICTURES: TablePictures = {
  name: "batch",
  shows: "a batch piece by piece",
  of: (file) =>
    batchWatches(loadBatchTable(file)).map((watch) => ({ of: watch.piece, draw: () => drawBatch(watch) })),
};
