import { rectangular } from "../../../src/uncertainty/distributions.js";
import type { InputQuantity, Model } from "../../../src/uncertainty/inputs.js";
import { type SensitivityIndices, sensitivityIndices } from "../../../src/uncertainty/sensitivity.js";
import { type Check, compareRows, published, type Row } from "./check.js";

interface Indices {
  variance: number;
  first: number[];
  total: number[];
}
interface File {
  ishigami: (Indices & { a: number; b: number; mean: number })[];
  g: (Indices & { a: number[]; atOrigin?: number })[];
}

export const SENSITIVITY_POINTS = 1024;
export const SENSITIVITY_REPLICATES = 16;
/** Confidence of each single bound, so that all 46 hold together in 99 runs of 100. */
export const SENSITIVITY_CONFIDENCE = 1 - 0.01 / 46;

const ishigami =
  (a: number, b: number): Model =>
  (x) =>
    Math.sin(x[0]!) + a * Math.sin(x[1]!) ** 2 + b * x[2]! ** 4 * Math.sin(x[0]!);

const sobolG =
  (a: readonly number[]): Model =>
  (x) => {
    let product = 1;
    for (let i = 0; i < a.length; i++) product *= (Math.abs(4 * x[i]! - 2) + a[i]!) / (1 + a[i]!);
    return product;
  };

const between = (lo: number, hi: number, count: number): InputQuantity[] =>
  Array.from({ length: count }, (_, i) => ({ name: `x${i + 1}`, distribution: rectangular(lo, hi) }));

const estimate = (model: Model, inputs: readonly InputQuantity[]): SensitivityIndices =>
  sensitivityIndices(model, inputs, {
    points: SENSITIVITY_POINTS,
    replicates: SENSITIVITY_REPLICATES,
    confidence: SENSITIVITY_CONFIDENCE,
  });

/** Ishigami's and Sobol's test functions: estimates against closed forms, within their own confidence bounds. */
export function checks(): Check[] {
  const file = published<File>("sensitivity-functions");
  const rows: Row[] = [];
  for (const known of file.ishigami) {
    const result = estimate(ishigami(known.a, known.b), between(-Math.PI, Math.PI, 3));
    rows.push(...indexRows(`ishigami-b=${known.b}`, result, known));
    if (known === file.ishigami[0]) {
      const x3 = result.lines.find((line) => line.name === "x3")!.total;
      const wrong = file.ishigami[1]!.total[2]!;
      const outside = wrong < x3.low || wrong > x3.high ? 1 : 0;
      rows.push([
        "ishigami-control",
        "negative control: the index of another b lies outside the bounds (1 yes)",
        1,
        outside,
        0,
      ]);
    }
  }
  for (const known of file.g) {
    const model = sobolG(known.a);
    rows.push(...indexRows(`g-${known.a.length}`, estimate(model, between(0, 1, known.a.length)), known));
    if (known.atOrigin !== undefined)
      rows.push([
        "g-origin",
        "g at the origin, eight inputs (the print is cut off, not rounded)",
        known.atOrigin,
        model(new Float64Array(known.a.length)),
        1e-4,
      ]);
  }
  return compareRows("sensitivity", "closed forms of Ishigami's and Sobol's functions (recomputed)", rows);
}

function indexRows(id: string, { lines }: SensitivityIndices, known: Indices): Row[] {
  return lines.flatMap(({ name, first, total }): Row[] => {
    const i = Number(name.slice(1)) - 1;
    return [
      [
        `${id}-S-${name}`,
        `${id}: first-order index of ${name}`,
        known.first[i]!,
        first.value,
        (first.high - first.low) / 2,
      ],
      [
        `${id}-T-${name}`,
        `${id}: total index of ${name}`,
        known.total[i]!,
        total.value,
        (total.high - total.low) / 2,
      ],
    ];
  });
}
