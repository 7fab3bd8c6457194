import { at } from "../../core/numeric/dense.js";
import { createStream } from "../../core/numeric/random-stream.js";
import { createSeater, type SeaterOptions } from "../../physics/kernel/fitted-kernel.js";
import { CellDrawer, type CellDraws } from "./cell-drawer.js";
import type { ForecastSources } from "./forecast-sources.js";
import type { ForecastLimits } from "./tally-blocks.js";

/** Shares of the shops at which quantiles of the probability of closing are reported. */
export const SHOP_QUANTILES = [0.025, 0.1, 0.5, 0.9, 0.975] as const;

/**
 * How the probability that a cell closes varies between the shops that are compatible with the evidence; the overall probability is the average over them. Probabilities are 0 to 1; the contribution of the finite number of cells to
 * their variance is removed.
 */
export interface ShopRange {
  /** Number of shops, and of cells simulated in each. */
  readonly shops: number;
  readonly cells: number;
  /** Quantiles over the shops of the probability of closing: the share p of all shops does not exceed `value`; p is 0.025, 0.1, 0.5, 0.9 and 0.975. */
  readonly closes: readonly { readonly p: number; readonly value: number }[];
  /** Variance of that probability between shops. */
  readonly variance: number;
  /** Shares of the shops in which fewer than one cell in twenty closes, and more than nineteen in twenty do. */
  readonly hardlyAny: number;
  readonly nearlyAll: number;
}

const ONE_IN_TWENTY = 0.05;

/**
 * Computes the range from the number of cells that closed in each shop. The counts also have binomial variance, so each share is shrunk towards the mean such that only the variance between shops remains
 * (method of moments).
 *
 * @param closed number of closed cells of each shop, at least two shops.
 * @param cells number of cells of each shop, at least two.
 */
export function shopRange(closed: ArrayLike<number>, cells: number): ShopRange {
  const shops = closed.length;
  const shares = Array.from(closed, (count) => count / cells);
  const mean = shares.reduce((sum, share) => sum + share, 0) / shops;
  const total = shares.reduce((sum, share) => sum + (share - mean) ** 2, 0) / (shops - 1);
  const within = shares.reduce((sum, share) => sum + (share * (1 - share)) / (cells - 1), 0) / shops;
  const variance = Math.max(0, total - within);
  const factor = total > 0 ? Math.sqrt(variance / total) : 0;
  const drawn = shares.map((share) => mean + factor * (share - mean)).sort((a, b) => a - b);
  const ranked = (p: number): number => at(drawn, Math.min(shops - 1, Math.floor(p * shops)));
  return {
    shops,
    cells,
    variance,
    closes: SHOP_QUANTILES.map((p) => ({ p, value: ranked(p) })),
    hardlyAny: drawn.filter((share) => share < ONE_IN_TWENTY).length / shops,
    nearlyAll: drawn.filter((share) => share > 1 - ONE_IN_TWENTY).length / shops,
  };
}

/**
 * Effective sample size of values from shops taken in turn, with respect to their mean: values of one shop are correlated, and the number of shops is limited. It is computed from the components of
 * variance (one-way, random effects), pooled over complete turns.
 */
export function effectiveCount(values: ArrayLike<number>, shops: CellDraws["shops"]): number {
  const n = values.length;
  if (!shops) return n;
  const turns = Math.floor(n / shops.count);
  if (turns < 2) return Math.min(n, shops.effectiveSize);
  const sums = new Float64Array(shops.count);
  let [sum, squares] = [0, 0];
  for (let i = 0; i < turns * shops.count; i++) {
    const value = at(values, i);
    sums[i % shops.count]! += value;
    sum += value;
    squares += value ** 2;
  }
  const mean = sum / (turns * shops.count);
  const means = sums.reduce((total, own) => total + (own / turns - mean) ** 2, 0) / (shops.count - 1);
  const within = sums.reduce((left, own) => left - own ** 2 / turns, squares) / (shops.count * (turns - 1));
  const between = Math.max(0, means - within / turns);
  const share = between + within > 0 ? between / (between + within) : 0;
  return 1 / ((1 - share) / n + share / shops.effectiveSize);
}

/** Number of shops, and maximum number of cells of each, that are simulated for the range. */
export const SHOP_CELLS = { shops: 256, cells: 64 } as const;

/** Minimum number of cells of a shop: with fewer, little of the variance between shops remains after the binomial variance is removed. */
const FEWEST_CELLS = 8;

/**
 * The range over some shops, with as many cells in total as the forecast simulates, limited to 8 … 64 per shop, so that the work scales with the forecast.
 *
 * @throws UserError (code "seating") when a cell finds no equilibrium.
 */
export function simulateShops(
  sources: ForecastSources,
  {
    limits,
    seed,
    trials,
    ...options
  }: Omit<SeaterOptions, "inputs"> & {
    readonly limits: ForecastLimits;
    readonly seed: number;
    /** Number of cells that the forecast simulates. */
    readonly trials: number;
  },
): ShopRange {
  const cells = Math.min(SHOP_CELLS.cells, Math.max(FEWEST_CELLS, Math.ceil(trials / SHOP_CELLS.shops)));
  const { reader, inputs, draws } = sources;
  const kernel = createSeater(reader.model, { inputs, ...options });
  const drawer = new CellDrawer(draws);
  const stream = createStream(seed);
  const shared = new Float64Array(draws.shared);
  const closed = new Uint32Array(SHOP_CELLS.shops);
  const step = Math.max(1, (draws.shops?.count ?? SHOP_CELLS.shops) / SHOP_CELLS.shops);
  for (let shop = 0; shop < SHOP_CELLS.shops; shop++) {
    const row = Math.floor(shop * step);
    drawer.drawShop(stream, row, shared);
    for (let start = 0; start < cells; start += kernel.batchTrials) {
      const batch = Math.min(kernel.batchTrials, cells - start);
      for (let trial = 0; trial < batch; trial++) {
        const own = stream.fill(kernel.drawsOf(trial));
        own.set(shared);
        drawer.scale(row, own);
      }
      kernel.seat(batch);
      for (let trial = 0; trial < batch; trial++)
        if (kernel.widestGap(trial) <= limits.gap && kernel.deepestPress(trial) <= limits.snug)
          closed[shop] = at(closed, shop) + 1;
    }
  }
  return shopRange(closed, cells);
}

/**
 * Effective sample size of simulated cells for a probability near `chance`: the cells of one shop are correlated, and the number of shops is limited.
 *
 * @param range how the probability varies between shops; without it, all of its variance is assumed to be between them.
 */
export function effectiveCells(
  cells: number,
  { draws: { shops } }: Pick<ForecastSources, "draws">,
  range: ShopRange | null,
  chance: number,
): number {
  if (!shops) return cells;
  const spread = chance * (1 - chance);
  const between = range === null ? 1 : spread > 0 ? Math.min(1, range.variance / spread) : 0;
  return 1 / ((1 - between) / cells + between / shops.effectiveSize);
}
