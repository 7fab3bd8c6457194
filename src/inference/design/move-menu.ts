import { at, columnOf, minus, rowOf } from "../../core/numeric/dense.js";
import { symmetricEigen } from "../../core/numeric/linear-algebra.js";
import { type Adjuster, NO_MOVE, nearestSetting } from "../decision/adjusters.js";
import { descend, type MoveSet, MoveTable } from "../decision/choose-moves.js";
import { type DrawnCells, drawsAt, meanOf } from "../decision/drawn-cells.js";

/** Number of draws in one group of shops, and number of search rounds for its best moves: enough to find distinct sets of moves, which are then compared on all draws. */
const GROUP = 40;
const ROUNDS = 2;
/** Number of groups that are formed around single draws. */
const ABOUT_DRAWS = 6;
/** Number of combinations of sources along which the draws are split. */
const DIRECTIONS = 3;
/** An error whose uncertainty is below this share of the smallest move would never call for another setting. */
const SHARE_OF_A_STEP = 0.5;

/**
 * Sets of moves, over all jigs and stops together, that would be best if more were known: the best sets for the shops in which one source is low or high, for those in which a combination of
 * sources is low or high, and for those near single draws of the posterior. The chosen set comes first.
 *
 * @param wanted change of each adjuster that would undo its currently estimated error, rad or mm.
 */
export function moveMenu(
  forecast: DrawnCells,
  adjusters: readonly Adjuster[],
  chosen: MoveSet,
  wanted: readonly number[],
): MoveSet[] {
  const inSteps = adjusters.map(({ source, settings }) => {
    const step = Math.min(...settings.flatMap(({ change }) => (change === 0 ? [] : [Math.abs(change)])));
    return columnOf(forecast.sources, source, forecast.columns).map((value) => value / step);
  });
  const open = inSteps.map((values) => deviation(values) > SHARE_OF_A_STEP);
  if (!open.includes(true)) return [chosen];
  const own = inSteps.filter((_, k) => open[k]);
  const axes = [...own, ...directionsOf(own)];
  const groups = [...axes.flatMap(bothEnds), ...aboutDraws(own, forecast.draws)];
  const menu = new Map<string, MoveSet>();
  const add = (choice: MoveSet): void => {
    menu.set(choice.map(({ change }) => change).join(" "), choice);
  };
  add(chosen);
  add(chosen.map(() => NO_MOVE));
  // Each jig or stop by itself, as if its error were known to be one standard deviation to either side.
  for (const [k, adjuster] of adjusters.entries()) {
    const sd = deviation(columnOf(forecast.sources, adjuster.source, forecast.columns));
    if (at(open, k))
      for (const side of [-1, 1])
        add(chosen.with(k, nearestSetting(adjuster.settings, at(wanted, k) + side * sd)));
  }
  for (const group of groups) {
    const some = drawsAt(forecast, group);
    const there = adjusters.map(({ source }, k) => {
      const all = columnOf(forecast.sources, source, forecast.columns);
      return at(wanted, k) + meanOf(all) - meanOf(columnOf(some.sources, source, forecast.columns));
    });
    add(descend(new MoveTable(some, adjusters), chosen, there, 0, ROUNDS));
  }
  return [...menu.values()];
}

function deviation(values: Float64Array): number {
  const mean = meanOf(values);
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length);
}

/** Indices of draws in the lower and in the upper third of some values, {@link GROUP} of each, evenly spaced. */
function bothEnds(values: Float64Array): number[][] {
  const order = [...values.keys()].sort((a, b) => at(values, a) - at(values, b));
  const third = Math.floor(order.length / 3);
  return [order.slice(0, third), order.slice(order.length - third)].map(spaced);
}

function spaced(places: readonly number[]): number[] {
  const step = Math.max(1, places.length / GROUP);
  return Array.from({ length: Math.min(GROUP, places.length) }, (_, i) => at(places, Math.floor(i * step)));
}

/** Projections of the draws on the principal directions of largest variance of several sources. */
function directionsOf(columns: readonly Float64Array[]): Float64Array[] {
  const n = columns.length;
  if (n < 2) return [];
  const centred = columns.map((values) => {
    const mean = meanOf(values);
    return values.map((value) => value - mean);
  });
  const covariance = Float64Array.from(
    centred.flatMap((a) => centred.map((b) => meanOf(a.map((value, d) => value * at(b, d))))),
  );
  const { values, vectors } = symmetricEigen(covariance, n);
  return [...vectors.keys()]
    .filter((i) => at(values, i) > SHARE_OF_A_STEP ** 2)
    .sort((a, b) => at(values, b) - at(values, a))
    .slice(0, DIRECTIONS)
    .map((i) =>
      at(centred, 0).map((_, d) =>
        centred.reduce((sum, column, k) => sum + at(at(vectors, i), k) * at(column, d), 0),
      ),
    );
}

/** For each of some draws, the {@link GROUP} draws nearest to it. */
function aboutDraws(columns: readonly Float64Array[], draws: number): number[][] {
  const n = columns.length;
  const rows = Float64Array.from({ length: draws * n }, (_, k) => at(at(columns, k % n), Math.floor(k / n)));
  return Array.from({ length: ABOUT_DRAWS }, (_, i) => {
    const middle = rowOf(rows, Math.floor(((i + 0.5) * draws) / ABOUT_DRAWS), n);
    const far = Float64Array.from({ length: draws }, (_, d) =>
      minus(rowOf(rows, d, n), middle).reduce((sum, off) => sum + off ** 2, 0),
    );
    return [...far.keys()].sort((a, b) => at(far, a) - at(far, b)).slice(0, GROUP);
  });
}
