import { minimiseTerms, type Terms } from "../../../src/core/numeric/minimise-terms.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { readingLoss } from "../../../src/inference/likelihood/reading-likelihood.js";
import type { Reading } from "../../../src/model/readings.js";
import { slopeAlong } from "../../../src/uncertainty/differences.js";
import { type Check, compareRows, type Row } from "./check.js";

type Read = Pick<Reading, "value" | "low" | "high">;
const value = (y: number): Read => ({ value: y, low: null, high: null });
const between = (low: number, high: number): Read => ({ value: null, low, high });

/** Ways to read y: with a value, between leaves 0.1 apart, and only from one side of a leaf. */
const KINDS: Readonly<Record<string, (y: number) => Read>> = {
  value,
  interval: (y) => between(Math.floor(10 * y) / 10, Math.ceil(10 * y) / 10),
  "open below": (y) => between(Number.NEGATIVE_INFINITY, Math.ceil(10 * y) / 10),
  "open above": (y) => between(Math.floor(10 * y) / 10, Number.POSITIVE_INFINITY),
};
const NOISE = 0.2;
const READINGS = 12;

/** The maximum of the likelihood for each kind of reading: its score is zero there, the score's own slope is what it claims. */
export function checks(): Check[] {
  const stream = createStream(2101);
  const points = Array.from({ length: READINGS }, (_, i) => ({
    x: i / READINGS,
    y: 0.3 + (0.5 * i) / READINGS + NOISE * stream.normal(),
  }));
  const rows = Object.entries(KINDS).flatMap(([kind, read]): Row[] => {
    // Readings from one side alone have no maximum: every third is a value.
    const open = kind.startsWith("open");
    const readings = points.map(({ x, y }, i) => ({ x, read: (open && i % 3 === 0 ? value : read)(y) }));
    return [...scoreRows(kind, readings), ...derivativeRows(kind, read(READ))];
  });
  const all = points.map(({ x, y }, i) => ({ x, read: Object.values(KINDS)[i % 4]!(y) }));
  return compareRows(
    "score",
    {
      document: "definition of a maximum",
      place: "no slope there (differences of the log-likelihood)",
      kind: "self-consistency",
    },
    [...rows, ...scoreRows("all kinds", all)],
  );
}

interface PlacedReading {
  readonly x: number;
  readonly read: Read;
}

/** −log L of readings of a line μ = a + b·x. */
function lineTerms(readings: readonly PlacedReading[], [a, b]: Float64Array): Terms {
  const losses = readings.map(({ x, read }) => readingLoss(read, a! + b! * x, NOISE));
  return {
    value: losses.reduce((sum, loss) => sum + loss.value, 0),
    slope: Float64Array.from(losses, ({ slope }) => slope),
    curvature: Float64Array.from(losses, ({ curvature }) => curvature),
    jacobian: Float64Array.from(readings.flatMap(({ x }) => [1, x])),
  };
}

const AWAY = 0.01;

function scoreRows(kind: string, readings: readonly PlacedReading[]): Row[] {
  const minimum = minimiseTerms((x) => lineTerms(readings, x), [0, 0]);
  const best = minimum.converged ? minimum.x : new Float64Array(2).fill(Number.NaN);
  const loss = (x: Float64Array): number => lineTerms(readings, x).value;
  // Along each unknown, in units of what one alone is known to: 1/√Σρ″·(∂μ)².
  const { curvature, jacobian } = minimum.terms;
  const units = [0, 1].map((j) => {
    const information = curvature.reduce((sum, c, i) => sum + c * jacobian[2 * i + j]! ** 2, 0);
    const direction = new Float64Array(2);
    direction[j] = 1 / Math.sqrt(information);
    return direction;
  });
  const scores = units.map((direction) => Math.abs(slopeAlong(loss, best, direction, 0.1).value));
  const away = slopeAlong(
    loss,
    best.map((v, j) => v + AWAY * units[0]![j]!),
    units[0]!,
    0.1,
  ).value;
  return [
    [
      `${kind}/score`,
      `${kind}: size of the score at the maximum, in standard errors`,
      0,
      Math.max(...scores),
      1e-9,
    ],
    [`${kind}/away`, `${kind}: score a hundredth of a standard error beside it`, AWAY, away, 0.02 * AWAY],
  ];
}

/** A reading, and predictions from well below to well above the reading, in noises. */
const READ = 0.437;
const PLACES = [-6, -2, -0.7, 0, 0.4, 1.5, 5];

function derivativeRows(kind: string, read: Read): Row[] {
  const [at, one] = [(mu: number) => Float64Array.of(mu), Float64Array.of(NOISE)];
  const mus = PLACES.map((z) => READ + z * NOISE);
  const worst = (ours: (mu: number) => number, of: (mu: number) => number): number =>
    Math.max(
      ...mus.map((mu) => {
        const known = slopeAlong(([m]) => of(m!), at(mu), one, 0.1).value / NOISE;
        return Math.abs(ours(mu) - known) / (1 + Math.abs(known));
      }),
    );
  const loss = (mu: number) => readingLoss(read, mu, NOISE);
  return [
    [
      `${kind}/slope`,
      `${kind}: largest difference of the loss's slope from differences of its value`,
      0,
      worst(
        (mu) => loss(mu).slope,
        (mu) => loss(mu).value,
      ),
      1e-9,
    ],
    [
      `${kind}/curvature`,
      `${kind}: largest difference of its curvature from differences of its slope`,
      0,
      worst(
        (mu) => loss(mu).curvature,
        (mu) => loss(mu).slope,
      ),
      1e-9,
    ],
  ];
}
