import { at, present } from "../../core/numeric/dense.js";
import { normalPdf } from "../../core/numeric/normal.js";
import { gaussLegendre } from "../../core/numeric/quadrature.js";
import { tQuantile } from "../../core/numeric/student-t.js";
import {
  EWMA_WEIGHT,
  type EwmaChart,
  ewmaChart,
  ewmaCreepLength,
  ewmaRunLength,
  ewmaSilence,
  ewmaWidth,
  type IndividualsChart,
  individualsChart,
  individualsCreepLength,
  individualsRunLength,
  LIMITS,
} from "./control-charts.js";

/** What a batch is held against, and when it raises an alarm. */
export interface WatchOptions {
  /** What the pieces should be, mm; default: the mean of the first pieces. */
  readonly target?: number;
  /** From piece to piece, mm; default: from the moving ranges of all pieces. */
  readonly standardDeviation?: number;
  /** How many of the first pieces stand for the stop as it was set; default {@link BASELINE}, or all where there are fewer. */
  readonly baseline?: number;
  /** λ of the moving average, the weight of the newest piece, above 0, at most 1; default 0.2. */
  readonly weight?: number;
  /** Number of pieces between false alarms of the moving average, on average; default {@link RUN_LENGTH}. */
  readonly runLength?: number;
}

/** First pieces that stand for the stop as it was set. Common practice, no source. */
export const BASELINE = 8;
/** Pieces between false alarms: that of a chart of single pieces with limits at 3 standard deviations. */
export const RUN_LENGTH = 370;

/** How soon a chart signals, in pieces, on average; spread and target taken as known. */
export interface RunLengths {
  /** Nothing wrong: number of pieces between false alarms. */
  readonly inControl: number;
  /** The mean jumps by one standard deviation. */
  readonly jump: number;
  /** The mean creeps by a tenth of a standard deviation a piece. */
  readonly creep: number;
}

/** `jumped`: single pieces lie beyond their limits, and the moving average signals only through them; `creeping`: it signals without them too. */
export type BatchVerdict = "steady" | "creeping" | "jumped";

/** A batch against its target, mm. */
export interface BatchWatch {
  readonly values: readonly number[];
  readonly target: number;
  /** How many first pieces the target is the mean of; 0 when it was given. */
  readonly targetFrom: number;
  readonly individuals: IndividualsChart;
  readonly ewma: EwmaChart;
  readonly runLengths: { readonly individuals: RunLengths; readonly ewma: RunLengths };
  /** Chance that the moving average signals within a batch of this length with nothing wrong; the target's own uncertainty counted, that of the spread not. */
  readonly falseAlarm: number;
  /** Change from one piece to the next by a straight line through all, mm, and its 95 % interval; `null` for fewer than three pieces. */
  readonly creep: { readonly slope: number; readonly interval: readonly [number, number] } | null;
  readonly verdict: BatchVerdict;
  /** Place (0 first) of the first piece at which a chart signals; `null` for none. */
  readonly firstSignal: number | null;
}

/**
 * Watches the lengths or gaps of a batch for a stop that creeps or jumps.
 *
 * @throws RangeError for fewer than two pieces, or pieces that do not differ and no standard deviation given
 * @example
 * const { rows } = loadBatchTable("data/alcove-screen/batch.csv");
 * watchBatch(rows.map(({ value }) => value)).verdict // "creeping"
 */
export function watchBatch(values: readonly number[], options: WatchOptions = {}): BatchWatch {
  const { weight = EWMA_WEIGHT, runLength = RUN_LENGTH } = options;
  const baseline = Math.min(options.baseline ?? BASELINE, values.length);
  const whole = individualsChart(values);
  const standardDeviation = options.standardDeviation ?? whole.standardDeviation;
  if (!(standardDeviation > 0))
    throw new RangeError(
      `The pieces must differ, or the standard deviation be given; all were read as ${values[0]}; in watchBatch.`,
    );
  const targetFrom = options.target === undefined ? baseline : 0;
  const target = options.target ?? values.slice(0, baseline).reduce((a, b) => a + b, 0) / baseline;
  const individuals = about(whole, values, target, standardDeviation);
  const width = widthFor(weight, runLength);
  const ewma = ewmaChart(values, { target, standardDeviation, weight, width });
  // A target made of the first pieces cannot signal on them.
  const after = (places: readonly number[]): number[] => places.filter((i) => i >= targetFrom);
  const [averages, singles] = [after(ewma.beyond), after(individuals.beyond)];
  const signals = [...averages, ...singles];
  const odd = new Set(individuals.beyond);
  const others = values.map((value, i) => ({ value, i })).filter(({ i }) => !odd.has(i));
  const quiet = ewmaChart(
    others.map(({ value }) => value),
    { target, standardDeviation, weight, width },
  );
  const creeps = quiet.beyond.some((k) => at(others, k).i >= targetFrom);
  return {
    values,
    target,
    targetFrom,
    individuals,
    ewma,
    runLengths: runLengthsOf(weight, width),
    falseAlarm: falseAlarmWithin(values.length, targetFrom, weight, width),
    creep: lineThrough(values),
    verdict: signals.length === 0 ? "steady" : creeps ? "creeping" : "jumped",
    firstSignal: signals.length > 0 ? Math.min(...signals) : null,
  };
}

/** Standard deviations a piece. */
const CREEP = 0.1;

const runLengthsOf = remembered((weight: number, width: number): BatchWatch["runLengths"] => ({
  individuals: {
    inControl: individualsRunLength(0),
    jump: individualsRunLength(1),
    creep: individualsCreepLength(CREEP),
  },
  ewma: {
    inControl: ewmaRunLength(weight, width, 0),
    jump: ewmaRunLength(weight, width, 1),
    creep: ewmaCreepLength(weight, width, CREEP),
  },
}));

const widthFor = remembered(ewmaWidth);

/** A function of numbers that looks up what it was asked before. */
function remembered<A extends number[], T>(compute: (...of: A) => T): (...of: A) => T {
  const known = new Map<string, T>();
  return (...of) => {
    const key = of.join(" ");
    if (!known.has(key)) known.set(key, compute(...of));
    return present(known.get(key));
  };
}

/** The chart of single pieces about the target. */
function about(
  chart: IndividualsChart,
  values: readonly number[],
  target: number,
  standardDeviation: number,
): IndividualsChart {
  const [lower, upper] = [target - LIMITS * standardDeviation, target + LIMITS * standardDeviation];
  const beyond = [...values.keys()].filter((i) => at(values, i) < lower || at(values, i) > upper);
  return { ...chart, centre: target, standardDeviation, lower, upper, beyond };
}

const FARTHEST = 4;

/** With a target that is the mean of `from` pieces, the chance is averaged over how far off that mean may be. */
const falseAlarmWithin = remembered((pieces: number, from: number, weight: number, width: number): number => {
  const watched = pieces - from;
  const signalled = (offset: number): number =>
    1 - present(ewmaSilence(weight, width, () => offset, watched).at(-1));
  if (watched <= 0) return 0;
  if (from === 0) return signalled(0);
  const { nodes, weights } = gaussLegendre(16);
  let sum = 0;
  for (const [i, node] of nodes.entries()) {
    const z = FARTHEST * node;
    sum += FARTHEST * at(weights, i) * normalPdf(z) * signalled(z / Math.sqrt(from));
  }
  return sum;
});

function lineThrough(values: readonly number[]): BatchWatch["creep"] {
  const n = values.length;
  if (n < 3) return null;
  const middle = (n - 1) / 2;
  const mean = values.reduce((a, b) => a + b, 0) / n;
  const squares = (n * (n * n - 1)) / 12;
  const slope = values.reduce((sum, value, i) => sum + (i - middle) * (value - mean), 0) / squares;
  const left = values.reduce((sum, value, i) => sum + (value - mean - slope * (i - middle)) ** 2, 0);
  const half = tQuantile(0.975, n - 2) * Math.sqrt(left / (n - 2) / squares);
  return { slope, interval: [slope - half, slope + half] };
}
