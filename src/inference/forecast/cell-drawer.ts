import { at, lowerRowTimes } from "../../core/numeric/dense.js";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";

/**
 * How the random numbers of a simulated cell are drawn: plain data that can be sent to a thread. The first `shared` draws are those of the shared sources, each in units of
 * its standard deviation from its mean; the others are those of single cuts, pieces and walls.
 */
export interface CellDraws {
  readonly shared: number;
  /**
   * Shops to draw from, if the shared sources are not normal or the scatters are uncertain: the shared draws of each, row-major (shop, draw), and the factors on the draws of single cuts,
   * row-major (shop, scatter).
   */
  readonly shops: {
    readonly count: number;
    readonly effectiveSize: number;
    readonly draws: Float64Array;
    readonly factors: Float64Array;
  } | null;
  /** Which scatter (0 angle, 1 length, 2 thickness) each draw of a single cut belongs to, starting with the first of these draws; −1 for none. */
  readonly scatterOf: Int8Array;
  /** Correlation of the shared draws, row-major; `null` where they are independent. */
  readonly correlation: Float64Array | null;
}

/** Number of scatters that a shop has factors for. */
export const SCATTER_FACTORS = 3;

/** Draws simulated cells: the shared sources of a shop, and fresh values of everything that varies from cut to cut. */
export class CellDrawer {
  readonly #draws: CellDraws;
  readonly #root: Float64Array | null;

  constructor(draws: CellDraws) {
    this.#draws = draws;
    this.#root = draws.correlation && !draws.shops ? rootOf(draws.correlation, draws.shared) : null;
  }

  /**
   * Draws one cell of a shop.
   *
   * @param shop index of the shop, an integer ≥ 0, taken modulo the number of shops to draw from. It has no effect if shops are drawn afresh.
   * @param drawn all draws of the cell.
   */
  draw(stream: RandomStream, shop: number, drawn: Float64Array): void {
    stream.fill(drawn);
    this.share(shop, drawn);
    this.scale(shop, drawn);
  }

  /** Draws the shared sources of a shop alone. */
  drawShop(stream: RandomStream, shop: number, drawn: Float64Array): void {
    for (let k = 0; k < this.#draws.shared; k++) drawn[k] = stream.normal();
    this.share(shop, drawn);
  }

  /** Scales the standard normal draws of single cuts by the scatters of a shop; `from` is the index of the cell's first draw. */
  scale(shop: number, drawn: Float64Array, from = 0): void {
    const { shops, shared, scatterOf } = this.#draws;
    if (!shops) return;
    const { factors } = shops;
    const row = (shop % shops.count) * SCATTER_FACTORS;
    const first = from + shared;
    // Indices within bounds by construction: this runs for every simulated cell.
    for (let k = 0; k < scatterOf.length; k++) {
      const scatter = scatterOf[k]!;
      if (scatter >= 0) drawn[first + k]! *= factors[row + scatter]!;
    }
  }

  /** Makes the shared draws of a shop from independent standard normals, in place. */
  share(shop: number, drawn: Float64Array): void {
    const { shops, shared } = this.#draws;
    if (shops) {
      const row = (shop % shops.count) * shared;
      for (let k = 0; k < shared; k++) drawn[k] = at(shops.draws, row + k);
    } else if (this.#root) {
      const normals = drawn.slice(0, shared);
      for (let k = 0; k < shared; k++) drawn[k] = lowerRowTimes(this.#root, k, normals);
    }
  }
}

/** Cholesky factor of a correlation matrix; a tiny amount is added to the diagonal, so that perfectly correlated sources have one too. */
function rootOf(correlation: Float64Array, n: number): Float64Array {
  const root = correlation.map((value, k) => (k % (n + 1) === 0 ? value + 1e-12 : value));
  if (!choleskyInPlace(root, n))
    throw new RangeError("The correlation of the sources is not positive definite.");
  return root;
}
