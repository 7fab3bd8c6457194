import { createStream } from "../../../src/core/numeric/random-stream.js";
import { normal } from "../../../src/uncertainty/distributions.js";
import type { Correlation } from "../../../src/uncertainty/inputs.js";
import { lawOfPropagation } from "../../../src/uncertainty/law-of-propagation.js";
import {
  blockErrors,
  numericalTolerance,
  shortestInterval,
  summarise,
  symmetricInterval,
} from "../../../src/uncertainty/monte-carlo-blocks.js";
import { welchSatterthwaite } from "../../../src/uncertainty/type-a.js";
import { worstCase } from "../../../src/uncertainty/worst-case.js";
import { type Check, compareRows, type Row } from "./check.js";

/** Second and third order, coverage intervals and a worst case, where a pencil gives the answer. */
export function checks(): Check[] {
  return compareRows("propagation", { document: "closed forms", place: "by hand", kind: "closed form" }, [
    ...curved(),
    ...budgets(),
    ...intervals(),
    ...blocks(),
  ]);
}

/** The note to JCGM 100, 5.1.2: u² = Σ c²u² + Σ Σ [½·f_ij² + c_i·f_ijj]·u_i²·u_j². */
function curved(): Row[] {
  const [m, s] = [2, 0.3];
  const cube = lawOfPropagation(([x]) => x! ** 3, [{ name: "x", distribution: normal(m, s) }], {
    secondOrder: true,
  });
  const [x, ux, z, uz] = [1.5, 0.2, 2, 0.3];
  const product = lawOfPropagation(
    ([p, q]) => p! * q! ** 2,
    [
      { name: "x", distribution: normal(x, ux) },
      { name: "z", distribution: normal(z, uz) },
    ],
    { secondOrder: true },
  );
  const first = z ** 4 * ux ** 2 + 4 * x ** 2 * z ** 2 * uz ** 2;
  const second = 2 * x ** 2 * uz ** 4 + 4 * z ** 2 * ux ** 2 * uz ** 2;
  const third = 2 * z ** 2 * ux ** 2 * uz ** 2;
  const corner = worstCase(
    ([a, b]) => a! - 2 * b!,
    [
      { name: "a", low: -1, high: 2 },
      { name: "b", low: 0, high: 3 },
    ],
  );
  return [
    [
      "cube",
      "u of x³, x = 2 ± 0.3, with second- and third-order terms: √(9m⁴s² + 36m²s⁴)",
      Math.sqrt(9 * m ** 4 * s ** 2 + 36 * m ** 2 * s ** 4),
      cube.standardUncertainty,
      1e-9,
    ],
    [
      "cube-shift",
      "what curvature adds to the mean of x³: 3ms²",
      3 * m * s * s,
      cube.secondOrder?.shift ?? Number.NaN,
      1e-9,
    ],
    [
      "cube-1",
      "u of x³ at first order: 3m²s",
      3 * m * m * s,
      cube.budget[0]?.contribution ?? Number.NaN,
      1e-9,
    ],
    [
      "product",
      "u of x·z² with second- and third-order terms",
      Math.sqrt(first + second + third),
      product.standardUncertainty,
      1e-9,
    ],
    [
      "dof",
      "effective degrees of freedom of parts 3 (4) and 4 (9): 25²/(81/4 + 256/9)",
      625 / (81 / 4 + 256 / 9),
      welchSatterthwaite([
        { standardUncertainty: 3, degreesOfFreedom: 4 },
        { standardUncertainty: 4, degreesOfFreedom: 9 },
      ]),
      1e-12,
    ],
    ["worst-high", "largest a − 2b, −1 ≤ a ≤ 2, 0 ≤ b ≤ 3", 2, corner.maximum.value, 1e-12],
    ["worst-low", "smallest a − 2b", -7, corner.minimum.value, 1e-12],
    ["tolerance-2", "numerical tolerance of 0.35 to two digits", 0.005, numericalTolerance(0.35, 2), 1e-15],
    ["tolerance-1", "numerical tolerance of 0.35 to one digit", 0.05, numericalTolerance(0.35, 1), 1e-15],
  ];
}

/** Shares of a variance with and without a correlation, a kink, and limits that nothing can pass. */
function budgets(): Row[] {
  const inputs = [
    { name: "x", distribution: normal(0, 3) },
    { name: "y", distribution: normal(0, 4) },
  ];
  const sum = ([x, y]: Float64Array): number => x! + y!;
  const share = (correlations: Correlation[], name: string): number =>
    lawOfPropagation(sum, inputs, { correlations }).budget.find((line) => line.name === name)?.share ??
    Number.NaN;
  const tied: Correlation[] = [{ between: ["x", "y"], coefficient: 0.5 }];
  const kinked = lawOfPropagation(([x, y]) => Math.abs(x!) + y!, inputs);
  const box = [
    { name: "a", low: -1, high: 2 },
    { name: "b", low: 0, high: 3 },
  ];
  // The middle of the box, 0.5 − 2·1.5, and as far as slopes of 1 and 2 reach over half-widths of 1.5.
  const { limits } = worstCase(([a, b]) => a! - 2 * b!, box, { slopeBounds: [1, 2] });
  return [
    ["share-x", "share of 3 in √(3² + 4²)", 9 / 25, share([], "x"), 1e-12],
    ["share-y", "share of 4 in √(3² + 4²)", 16 / 25, share([], "y"), 1e-12],
    ["share-tied", "the same of 3 with a correlation of ½: (9 + 6)/37", 15 / 37, share(tied, "x"), 1e-12],
    ["kink", "inputs at which |x| + y has a kink", 1, kinked.kinks.length, 0],
    [
      "limit-low",
      "limit that a − 2b cannot pass, from its slopes: low",
      -7,
      limits?.[0] ?? Number.NaN,
      1e-12,
    ],
    ["limit-high", "the same: high", 2, limits?.[1] ?? Number.NaN, 1e-12],
  ];
}

/** JCGM 101, 7.7: q = pM; r = (M − q)/2, rounded up from a half. */
function intervals(): Row[] {
  const ranks = Float64Array.from({ length: 100 }, (_, i) => i + 1);
  const squares = ranks.map((rank) => rank * rank);
  const [low, high] = symmetricInterval(ranks, 0.95);
  const [shortLow, shortHigh] = shortestInterval(squares, 0.95);
  return [
    ["symmetric-low", "lower end of the symmetric 95 % interval of 1 … 100", 3, low, 0],
    ["symmetric-high", "its upper end", 98, high, 0],
    ["shortest-low", "lower end of the shortest 95 % interval of the squares of 1 … 100", 1, shortLow, 0],
    ["shortest-high", "its upper end, 96²", 9216, shortHigh, 0],
  ];
}

const SIZE = 10_000;
const BLOCKS = 27;
const RUNS = 24;

/** Standard errors of a run of 27 blocks of normal draws against how 24 such runs differ; their scatter is known to 15 %. */
function blocks(): Row[] {
  const runs = Array.from({ length: RUNS }, (_, run) => {
    const stream = createStream(900 + run);
    const drawn = Array.from({ length: BLOCKS }, () => stream.fill(new Float64Array(SIZE)));
    const all = new Float64Array(SIZE * BLOCKS);
    for (const [k, block] of drawn.entries()) all.set(block, k * SIZE);
    const stated = blockErrors(drawn.map((block) => summarise(block, 0.95)));
    const found = summarise(all, 0.95);
    return { found, stated };
  });
  const ratio = (of: (summary: (typeof runs)[number]["found"]) => number): number => {
    const values = runs.map(({ found }) => of(found));
    const mean = values.reduce((a, b) => a + b, 0) / RUNS;
    const scatter = Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (RUNS - 1));
    return scatter / (runs.reduce((sum, { stated }) => sum + of(stated), 0) / RUNS);
  };
  const row = (id: string, quantity: string, of: Parameters<typeof ratio>[0]): Row => [
    `block-${id}`,
    `how ${quantity} scatters from run to run, in its own standard errors`,
    1,
    ratio(of),
    0.35,
    "self-consistency",
  ];
  return [
    row("estimate", "the mean of 270,000 draws", (s) => s.estimate),
    row("u", "the standard deviation of 270,000 draws", (s) => s.standardUncertainty),
    row("symmetric", "an end of the symmetric interval", (s) => s.symmetric[1]),
    row("shortest", "an end of the shortest interval", (s) => s.shortest[1]),
  ];
}
