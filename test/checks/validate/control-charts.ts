import { createStream } from "../../../src/core/numeric/random-stream.js";
import {
  ewmaChart,
  individualsChart,
  individualsRunLength,
} from "../../../src/features/batch/control-charts.js";
import { watchBatch } from "../../../src/features/batch/watch-batch.js";
import { type Check, compareRows, printedTo, published, type Row } from "./check.js";

interface File {
  individuals: {
    values: number[];
    mean: number;
    meanRange: number;
    upper: number;
    lower: number;
    d2: number;
    rangeUpper: number;
  };
  ewma: {
    values: number[];
    weight: number;
    target: number;
    standardDeviation: number;
    width: number;
    averages: number[];
    upper: number;
    lower: number;
  };
}

const HANDBOOK = "NIST/SEMATECH e-Handbook";

/** The charts of a batch: the handbook's worked examples, and the straight line of a creep worked by hand. */
export function checks(): Check[] {
  const file = published<File>("control-charts");
  return [...individuals(file), ...ewma(file), ...creep(), ...falseAlarms()];
}

function individuals({ individuals: known }: File): Check[] {
  const chart = individualsChart(known.values);
  const half = (3 * chart.meanRange) / known.d2;
  const rounded = `print from d2 = ${known.d2}; 0.002 between`;
  return compareRows("individuals", { document: HANDBOOK, place: "6.3.2.2", kind: "printed" }, [
    ["centre", "mean of ten pieces", known.mean, chart.centre, printedTo(2)],
    ["range", "mean moving range", known.meanRange, chart.meanRange, printedTo(4)],
    ["upper", `upper limit of single pieces (${rounded})`, known.upper, chart.upper, 0.002],
    ["lower", `lower limit of single pieces (${rounded})`, known.lower, chart.lower, 0.002],
    ["upper-exact", "upper limit with exact d2", 55.80241, chart.upper, printedTo(5), "recomputed"],
    ["lower-exact", "lower limit with exact d2", 45.81759, chart.lower, printedTo(5), "recomputed"],
    [
      "upper-d2",
      "upper limit from our mean range with that d2",
      known.upper,
      chart.centre + half,
      printedTo(3),
    ],
    ["range-upper", "upper limit of a moving range", known.rangeUpper, chart.rangeUpper, 1e-3, "recomputed"],
    ["signals", "signals", 0, chart.beyond.length + chart.jumps.length, 0],
    [
      "run-length",
      "pieces between false alarms, 1/(2·(1 − Φ(3)))",
      370.398347,
      individualsRunLength(0),
      1e-5,
      "closed form",
    ],
  ]);
}

function ewma({ ewma: known }: File): Check[] {
  const { values, averages, upper, lower, ...options } = known;
  const chart = ewmaChart(values, options);
  return compareRows("ewma", { document: HANDBOOK, place: "6.3.2.4", kind: "printed" }, [
    ...averages.map(
      (average, i): Row => [
        `average-${i + 1}`,
        `weighted average after ${i + 1} pieces`,
        average,
        chart.averages[i] ?? Number.NaN,
        printedTo(2),
      ],
    ),
    ["upper", "upper limit", upper, chart.upper, printedTo(4)],
    ["lower", "lower limit (the print is cut off, not rounded)", lower, chart.lower, 1e-4],
    ["signals", "signals", 0, chart.beyond.length, 0],
  ]);
}

/** Five pieces that grow by 2 a piece but for ±: by hand. */
function creep(): Check[] {
  const { creep: line, individuals: single, target } = watchBatch([1, 3, 6, 7, 8], { baseline: 2 });
  const nan = Number.NaN;
  return compareRows("batch", { document: "closed forms", place: "by hand", kind: "closed form" }, [
    ["slope", "creep of 1, 3, 6, 7, 8: (−2·1 − 1·3 + 1·7 + 2·8)/10", 1.8, line?.slope ?? nan, 1e-12],
    // Residuals −0.4, −0.2, 1, 0.2, −0.6: Σ = 1.6; s² = 1.6/3; t(0.975, 3) = 3.182446305.
    [
      "slope-half",
      "half-width of its 95 % interval, 3.182446305·√(1.6/3/10)",
      3.182446305284263 * Math.sqrt(1.6 / 30),
      ((line?.interval[1] ?? nan) - (line?.interval[0] ?? nan)) / 2,
      1e-12,
    ],
    ["target", "target from the first two pieces", 2, target, 1e-12],
    [
      "sigma",
      "scatter from the moving ranges 2, 3, 1, 1: 1.75·√π/2",
      (1.75 * Math.sqrt(Math.PI)) / 2,
      single.standardDeviation,
      1e-12,
    ],
    ["upper", "upper limit, 2 + 3 scatters", 2 + (5.25 * Math.sqrt(Math.PI)) / 2, single.upper, 1e-12],
  ]);
}

const BATCHES = 20_000;
const PIECES = 20;

/** How often a steady batch of 20 signals, as stated and as 20,000 drawn batches have it: within 4.5 standard errors and the grid of the chain. */
function falseAlarms(): Check[] {
  const stream = createStream(5);
  const rows = [0, null].map((target): Row => {
    let [signals, stated] = [0, 0];
    for (let k = 0; k < BATCHES; k++) {
      const values = Array.from({ length: PIECES }, () => stream.normal());
      const watch = watchBatch(values, { standardDeviation: 1, ...(target === null ? {} : { target }) });
      stated = watch.falseAlarm;
      if (watch.ewma.beyond.some((i) => i >= watch.targetFrom)) signals++;
    }
    const share = signals / BATCHES;
    const quantity = `chance of a false alarm in 20 pieces, ${target === null ? "target from the first eight" : "target given"}, against 20,000 drawn batches`;
    const noise = 4.5 * Math.sqrt((share * (1 - share)) / BATCHES) + 0.001;
    return [target === null ? "false-alarm-first" : "false-alarm", quantity, share, stated, noise];
  });
  return compareRows(
    "batch",
    { document: "simulation", place: "drawn batches", kind: "self-consistency" },
    rows,
  );
}
