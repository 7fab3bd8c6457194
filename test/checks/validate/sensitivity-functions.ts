import { tQuantile } from "../../../src/core/numeric/student-t.js";
import { rectangular } from "../../../src/uncertainty/distributions.js";
import type { InputQuantity, Model } from "../../../src/uncertainty/inputs.js";
import { type SensitivityIndices, sensitivityIndices } from "../../../src/uncertainty/sensitivity.js";
import { typeA } from "../../../src/uncertainty/type-a.js";
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
        "self-consistency",
      ]);
    }
  }
  for (const known of file.g) {
    const model = sobolG(known.a);
    rows.push(...indexRows(`g-${known.a.length}`, estimate(model, between(0, 1, known.a.length)), known));
    if (known.atOrigin !== undefined)
      rows.push([
        "g-origin",
        "g at the origin, eight inputs (the print is cut off, not rounded; a check of the test function alone)",
        known.atOrigin,
        model(new Float64Array(known.a.length)),
        1e-4,
        "self-consistency",
      ]);
  }
  rows.push(boundRow(file.ishigami[0]!));
  return compareRows(
    "sensitivity",
    {
      document: "test functions of Ishigami and Sobol'",
      place: "closed forms",
      kind: "closed form",
    },
    rows,
  );
}

const RUNS = 24;

/** Bounds are as wide as the estimates scatter: their half-width over Student's t is the standard error that further seeds show. */
function boundRow({ a, b }: { a: number; b: number }): Row {
  const options = { points: 256, replicates: 16, confidence: 0.95 };
  const runs = Array.from({ length: RUNS }, (_, k) => {
    const { lines } = sensitivityIndices(ishigami(a, b), between(-Math.PI, Math.PI, 3), {
      ...options,
      seed: 50 + k,
    });
    return lines.find(({ name }) => name === "x1")!.total;
  });
  const t = tQuantile(0.975, options.replicates - 1);
  const stated = Math.sqrt(typeA(runs.map(({ low, high }) => ((high - low) / 2 / t) ** 2)).mean);
  const scatter = typeA(runs.map(({ value }) => value)).standardDeviation;
  const quantity = "how a total index scatters over 24 seeds, in the standard errors that its bounds state";
  return ["ishigami-bounds", quantity, 1, scatter / stated, 0.35, "self-consistency"];
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
