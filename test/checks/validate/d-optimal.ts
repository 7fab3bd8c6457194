import { type Criterion, criterionSlopes, rateOf } from "../../../src/inference/design/criterion.js";
import { optimalDesign } from "../../../src/inference/design/optimal-design.js";
import { type Check, compareRows, published, type Row } from "./check.js";

interface File {
  polynomialsOnMinusOneToOne: {
    degree: number;
    support: number[];
    logDeterminant: number;
    largestVariance: number;
  }[];
}

const ALL: Criterion = { kind: "all" };
const GRID = 101;

/** D-optimal designs of polynomials on −1 … 1: equal weights at the zeros of (1 − x²)·P′, and the largest variance of a prediction (Kiefer and Wolfowitz). */
export function checks(): Check[] {
  const rows = published<File>("d-optimal").polynomialsOnMinusOneToOne.flatMap(
    ({ degree, support, logDeterminant, largestVariance }): Row[] => {
      const p = degree + 1;
      const grid = Array.from({ length: GRID }, (_, i) => -1 + (2 * i) / (GRID - 1));
      const xs = [...new Set([...grid, ...support])].sort((a, b) => a - b);
      const candidates = xs.map((x) => [informationAt(x, degree)]);
      const { weights, value } = optimalDesign({ unknowns: p, candidates, criterion: ALL });
      const sum = new Float64Array(p * p);
      for (const [i, [own]] of candidates.entries())
        for (let k = 0; k < p * p; k++) sum[k]! += weights[i]! * own![k]!;
      const slopes = criterionSlopes([sum], p, ALL);
      const largest = slopes ? Math.max(...candidates.map((own) => rateOf(slopes, own))) : Number.NaN;
      const off = support.map((x) => Math.abs(weights[xs.indexOf(x)]! - 1 / p));
      return [
        [`det-${degree}`, `degree ${degree}: log determinant`, logDeterminant, -value, 1e-6],
        [
          `variance-${degree}`,
          `degree ${degree}: largest variance of a prediction`,
          largestVariance,
          largest,
          1e-4,
          "closed form",
        ],
        [
          `weights-${degree}`,
          `degree ${degree}: largest difference of a weight from 1/${p}`,
          0,
          Math.max(...off),
          5e-4,
          "closed form",
        ],
      ];
    },
  );
  return compareRows(
    "d-optimal",
    { document: "Kiefer and Wolfowitz, Canad. J. Math. 12 (1960)", place: "363–366", kind: "recomputed" },
    rows,
  );
}

function informationAt(x: number, degree: number): Float64Array {
  const f = Array.from({ length: degree + 1 }, (_, k) => x ** k);
  return Float64Array.from(f.flatMap((a) => f.map((b) => a * b)));
}
