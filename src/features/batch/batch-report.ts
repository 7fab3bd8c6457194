import { given } from "../../cli/arguments.js";
import { UserError } from "../../core/errors.js";
import { at, present } from "../../core/numeric/dense.js";
import { formatLength } from "../../core/quantity/index.js";
import { loadJob } from "../../io/job/load-job.js";
import { CAUTIONS } from "../../render/cautions.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { runChart } from "../../render/charts/run-chart.js";
import type { TablePictures } from "../../render/pictures.js";
import { type AxisUnit, chanceText, pieceLength, smallLength } from "../../render/shop-numbers.js";
import { textTable, wrapped } from "../../render/text.js";
import { type BatchTable, loadBatchTable } from "./batch-table.js";
import { type GoNoGo, goNoGoSizes } from "./go-no-go.js";
import { type BatchWatch, watchBatch } from "./watch-batch.js";

export interface BatchFlags {
  readonly json?: boolean;
  /** A job whose limits give go and no-go sizes. */
  readonly job?: string;
  /** mm. */
  readonly target?: number;
  readonly deviation?: number;
}

/** `sukima batch FILE`: whether the lengths or gaps of a batch stay where they were. */
export function batchCommand(file: string, { json, job, target, deviation }: BatchFlags): string {
  const table = loadBatchTable(file);
  const watches = batchWatches(table, target, deviation);
  const loaded = job === undefined ? null : loadJob(job);
  const sizes = loaded && goNoGoSizes(loaded);
  if (json) return JSON.stringify(batchJson(watches, sizes), null, 1);
  return batchText(watches, sizes, loaded?.units ?? table.units);
}

/** A watch over each kind of piece in a table of a batch. */
export function batchWatches(table: BatchTable, target?: number, deviation?: number): NamedWatch[] {
  const pieces = [...new Set(table.rows.map(({ piece }) => piece))];
  return pieces.map((piece) => watched(table, piece, target, deviation));
}

function watched(
  { rows, what, units }: BatchTable,
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
      `There must be two pieces${of} at least to see how they differ; the table has ${values.length}.`,
    );
  if (deviation === undefined && values.every((value) => value === values[0]))
    throw new UserError(
      "command",
      `All pieces${of} read the same, so that nothing shows how they scatter; read them finer, or give --deviation in mm.`,
    );
  const watch = watchBatch(values, given({ target, standardDeviation: deviation }));
  return { piece, what, units, ids: own.map(({ id }) => id), watch };
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

/** A batch for reading: the verdict, the charts' limits and the pieces beyond them, and how soon such charts signal. */
export function batchText(watches: readonly NamedWatch[], sizes: GoNoGo | null, units: "mm" | "in"): string {
  return [
    ...watches.flatMap(watchLines),
    ...(sizes ? sizeLines(sizes, units) : []),
    ...CAUTIONS.map((line) => wrapped(line)),
    "",
  ].join("\n");
}

function watchLines({ piece, what, units, ids, watch }: NamedWatch): string[] {
  const { individuals, ewma, runLengths, target, targetFrom, creep, values } = watch;
  const size = (mm: number): string => sizeText(mm, what, units);
  const of = piece === "" ? "" : ` of ${piece}`;
  const named = (places: readonly number[]): string =>
    places.length === 0 ? "none" : places.map((i) => ids[i]).join(", ");
  return [
    `THE BATCH: ${what}${of}, ${values.length} pieces`,
    wrapped(verdictText(watch, ids, what)),
    "",
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

function verdictText(
  { verdict, firstSignal, individuals, ewma, target }: BatchWatch,
  ids: readonly string[],
  what: string,
): string {
  const at = firstSignal === null ? "" : present(ids[firstSignal]);
  if (verdict === "steady") return "Steady: no chart signals.";
  if (verdict === "jumped") {
    const odd = individuals.beyond.map((i) => ids[i]).join(", ");
    return `Single pieces lie beyond their limits (${odd}), and the others are steady: measure those again, and look how they were held.`;
  }
  const last = present(ewma.averages.at(-1));
  const way = last > target ? (what === "gap" ? "wider" : "longer") : what === "gap" ? "narrower" : "shorter";
  return `The pieces have become ${way}: the moving average signals, first at ${at}. Stop, and check the stop before more are cut.`;
}

function creepText({ slope, interval }: NonNullable<BatchWatch["creep"]>, units: "mm" | "in"): string {
  const text = (mm: number): string =>
    units === "mm"
      ? formatLength(mm, { unit: "mm", digits: 4 })
      : formatLength(mm, { unit: "in", digits: 5 });
  const clear = interval[0] > 0 || interval[1] < 0;
  return `A straight line through all pieces changes by ${text(slope)} a piece (95 %: ${text(interval[0])} to ${text(interval[1])})${clear ? "" : ", which may be no change at all"}.`;
}

function sizeLines({ pieces, closesAtNominal, closesAtWorst }: GoNoGo, units: "mm" | "in"): string[] {
  return [
    "GO AND NO-GO SIZES, tip to tip",
    textTable(
      ["piece", "nominal", "NO-GO slot", "GO slot", "master", "from the master"],
      pieces.map(({ kind, nominal, noGo, go, master, allowance }) => [
        kind,
        ...[nominal, noGo, go, master].map((mm) => decimalLength(mm, units)),
        `± ${smallLength(allowance, units)}`,
      ]),
      [1, 2, 3, 4, 5],
    ),
    wrapped(
      `The NO-GO slot must refuse the piece, the GO slot must take it. Hold the first, a middle and the last piece of each stop against a master of the size given; take your instrument's own uncertainty off the allowance. With all lengths right ${chanceText(closesAtNominal)} of the cells close, with the worst combination of these sizes ${chanceText(closesAtWorst)} (angles about their labels, everything else scattering as the job says).`,
    ),
    "",
  ];
}

const sizeText = (mm: number, what: "length" | "gap", units: "mm" | "in"): string =>
  what === "gap" ? smallLength(mm, units) : fine(mm, units);

/** A piece's length without its fraction of an inch. */
const decimalLength = (mm: number, units: "mm" | "in"): string => pieceLength(mm, units).replace(/ \(.*/, "");

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
        ...{ piece, what, ids, ...rest },
        firstSignal: firstSignal === null ? null : ids[firstSignal],
        individuals: { ...individuals, beyond: named(individuals.beyond), jumps: named(individuals.jumps) },
        ewma: { ...ewma, beyond: named(ewma.beyond) },
      };
    }),
    sizes,
  };
}

/** A batch piece by piece, with its moving average and the limits of both. */
export function drawBatch({ what, units, ids, piece, watch }: NamedWatch): Promise<Chart> {
  const { values, individuals, ewma, target } = watch;
  const unit: AxisUnit = what === "gap" && units === "in" ? "thou" : units;
  const named = what === "gap" ? "Gap" : "Length";
  const input = {
    rows: values.map((value, i) => ({ id: at(ids, i), value, average: at(ewma.averages, i) })),
    ...{ target, single: individuals, moving: ewma },
  };
  return drawChart(runChart(input, { unit, axisTitle: piece === "" ? named : `${named} of ${piece}` }));
}

/** The pictures of a table of a batch, one for each kind of piece. */
export const BATCH_PICTURES: TablePictures = {
  ...{ name: "batch", shows: "a batch piece by piece" },
  of: (file) =>
    batchWatches(loadBatchTable(file)).map((watch) => ({ of: watch.piece, draw: () => drawBatch(watch) })),
};
