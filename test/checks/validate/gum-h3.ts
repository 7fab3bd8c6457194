import { type Check, compareRows, printedTo, published } from "./check.js";
import { straightLine } from "./straight-line.js";

interface Line {
  y1: number;
  sY1: number;
  y2: number;
  sY2: number;
  correlation: number;
  s: number;
  b30: number;
  uB30: number;
}
interface File {
  readings: [t: number, b: number][];
  referenceTemperature: number;
  printed: Line & { degreesOfFreedom: number };
  recomputed: Line & { sumOfSquares: number };
  centred: { referenceTemperature: number; y1: number; sY1: number; correlation: number };
}

/** JCGM 100, H.3: calibration of a thermometer by a straight line. */
export function checks(): Check[] {
  const { readings, referenceTemperature, printed, recomputed, centred } = published<File>("gum-h3");
  const shifted = (t0: number) => straightLine(readings.map(([t, b]) => [t - t0, b]));
  const line = shifted(referenceTemperature);
  const middle = shifted(centred.referenceTemperature);
  const at = 30 - referenceTemperature;
  const b30 = line.intercept + line.slope * at;
  const [v1, v12, , v2] = line.covariance as unknown as [number, number, number, number];
  const uB30 = Math.sqrt(v1 + 2 * at * v12 + at * at * v2);
  const s = line.fit.residualStandardDeviation;
  const [s1, s2] = line.standardDeviations;
  return compareRows("gum-h3", { document: "JCGM 100:2008", place: "H.3", kind: "printed" }, [
    ["y1", "intercept, °C", printed.y1, line.intercept, printedTo(4)],
    ["s-y1", "its standard uncertainty, °C", printed.sY1, s1, printedTo(4)],
    ["y2", "slope", printed.y2, line.slope, printedTo(5)],
    ["s-y2", "its standard uncertainty", printed.sY2, s2, printedTo(5)],
    ["r", "their correlation", printed.correlation, line.correlation, printedTo(3)],
    ["s", "residual standard deviation, °C", printed.s, s, printedTo(4)],
    ["dof", "degrees of freedom", printed.degreesOfFreedom, line.fit.degreesOfFreedom, 0],
    ["b30", "correction at 30 °C", printed.b30, b30, printedTo(4)],
    ["u-b30", "its standard uncertainty, °C", printed.uB30, uB30, printedTo(4)],
    ["y1-exact", "intercept (recomputed)", recomputed.y1, line.intercept, printedTo(9), "recomputed"],
    ["y2-exact", "slope (recomputed)", recomputed.y2, line.slope, printedTo(10), "recomputed"],
    ["s-exact", "residual standard deviation (recomputed)", recomputed.s, s, printedTo(8), "recomputed"],
    [
      "ss-exact",
      "sum of squares (recomputed)",
      recomputed.sumOfSquares,
      line.fit.sumOfSquares,
      0.5e-12,
      "recomputed",
    ],
    ["b30-exact", "correction at 30 °C (recomputed)", recomputed.b30, b30, printedTo(8), "recomputed"],
    [
      "u-b30-exact",
      "its standard uncertainty (recomputed)",
      recomputed.uB30,
      uB30,
      printedTo(8),
      "recomputed",
    ],
    [
      "y1-centred",
      "intercept counted from the mean temperature (recomputed)",
      centred.y1,
      middle.intercept,
      printedTo(6),
      "recomputed",
    ],
    [
      "s-y1-centred",
      "its standard uncertainty (recomputed)",
      centred.sY1,
      middle.standardDeviations[0],
      printedTo(7),
      "recomputed",
    ],
    [
      "r-centred",
      "correlation counted from there",
      centred.correlation,
      middle.correlation,
      1e-5,
      "recomputed",
    ],
  ]);
}
