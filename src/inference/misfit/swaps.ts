import { at, innerProduct, quadraticForm } from "../../core/numeric/dense.js";
import type { Reading } from "../../model/readings.js";
import { endsOf } from "../likelihood/reading-likelihood.js";
import { type Departure, NO_DEPARTURE } from "./departure.js";
import type { LocalModel, Scores } from "./local-model.js";

/** An exchange of two values that are closer than this many standard deviations of their instrument is not considered. */
const ALIKE = 3;
/** Maximum number of exchanges that are examined closely: of values, those that explain most to second order; of intervals, the most different ones. */
const MOST = { values: 12, intervals: 60 };

/**
 * Exchanges of readings: of two joints, places or pieces of one trial, one reading or all of them; and of two pieces cut at one set-up. Only readings of one quantity taken with one
 * instrument can be exchanged.
 *
 * @param ratios ratios of the scatters at which exchanges are first evaluated.
 */
export function swapsOf(
  readings: readonly Reading[],
  local: LocalModel,
  ratios: readonly number[],
): Departure[] {
  const pairs = pairsOf(readings);
  const whole = [...groupedBy(pairs, ({ whole: key }) => key).values()].filter(({ length }) => length > 1);
  const found = [...pairs.map((pair) => [pair]), ...whole]
    .map((list) => ({
      swaps: list.map(({ places }) => places),
      apart: Math.max(...list.map(({ places: [i, j] }) => apart(readings, local.noise, i, j))),
    }))
    .filter((one) => one.apart > ALIKE);
  const scores = found.length > 0 ? readingScores(local, readings.length, ratios) : null;
  const gains = found.map(({ swaps }) => scores && gainOf(swaps, readings, scores));
  const ordered = (
    list: readonly { readonly place: number; readonly by: number }[],
    most: number,
  ): number[] =>
    list
      .toSorted((a, b) => b.by - a.by)
      .slice(0, most)
      .map(({ place }) => place);
  const values = gains.flatMap((by, place) => (by === null ? [] : [{ place, by }]));
  const intervals = gains.flatMap((by, place) =>
    by === null ? [{ place, by: at(found, place).apart }] : [],
  );
  return [...ordered(values, MOST.values), ...ordered(intervals, MOST.intervals)].map((place) => {
    const { swaps } = at(found, place);
    return {
      ...NO_DEPARTURE,
      swaps,
      share: 1 / found.length,
      reason: {
        kind: "swapped joint",
        pairs: swaps.map(([i, j]) => [at(readings, i).id, at(readings, j).id] as const),
      },
    };
  });
}

/** Gain in log density from a change of each single reading. */
function readingScores(local: LocalModel, count: number, ratios: readonly number[]): Scores {
  const additions = local.trials.map(({ block, readings }) =>
    block.places.map((k, i) => ({ k, change: Float64Array.from(readings, (_, own) => (own === i ? 1 : 0)) })),
  );
  return local.scores(additions, count, ratios);
}

/** By how much an exchange raises the log density, to second order; `null` if one of the readings is an interval. */
function gainOf(
  swaps: readonly (readonly [number, number])[],
  readings: readonly Reading[],
  scores: Scores,
): number | null {
  const change = new Float64Array(readings.length);
  for (const [i, j] of swaps) {
    const [a, b] = [at(readings, i).value, at(readings, j).value];
    if (a === null || b === null) return null;
    // Increasing a reading by d has the same effect as decreasing its prediction by d.
    change[i] = at(change, i) + a - b;
    change[j] = at(change, j) + b - a;
  }
  return innerProduct(change, scores.pull) - quadraticForm(scores.gram, change) / 2;
}

interface Pair {
  readonly places: readonly [number, number];
  /** The exchange of all readings of two joints or pieces, of which this one is a part. */
  readonly whole: string;
}

function pairsOf(readings: readonly Reading[]): Pair[] {
  return readings.flatMap((a, i) =>
    readings.slice(i + 1).flatMap((b, k): Pair[] => {
      const alike = a.what === b.what && a.instrument === b.instrument && a.round === b.round;
      if (!alike || a.bench !== b.bench || a.setUp !== b.setUp || a.side !== b.side) return [];
      const places = [i, i + 1 + k] as const;
      if (a.trial === b.trial) {
        const joints = [a.subject, b.subject].sort().join(" and ");
        const moved = a.subject !== b.subject && a.at === b.at;
        return [{ places, whole: moved ? `${a.trial} ${a.what} ${joints}` : `alone ${places}` }];
      }
      if (a.subject !== b.subject || a.at !== b.at) return [];
      return [{ places, whole: `${a.trial} and ${b.trial} ${a.what}` }];
    }),
  );
}

/** Distance between two readings in standard deviations; for intervals it depends on whether they overlap. */
function apart(readings: readonly Reading[], noise: ArrayLike<number>, i: number, j: number): number {
  const [a, b] = [endsOf(at(readings, i)), endsOf(at(readings, j))];
  const tau = Math.max(at(noise, i), at(noise, j));
  if (a[0] === b[0] && a[1] === b[1]) return 0;
  const gap = Math.max(a[0] - b[1], b[0] - a[1]);
  // Neighbouring leaves differ by at least the thickness of a leaf.
  const ends = [...a, ...b].filter(Number.isFinite);
  return gap > 0 ? gap / tau : (Math.max(...ends) - Math.min(...ends)) / tau;
}

function groupedBy<T>(list: readonly T[], keyOf: (one: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const one of list) groups.set(keyOf(one), [...(groups.get(keyOf(one)) ?? []), one]);
  return groups;
}
