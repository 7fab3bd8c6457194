import { createStream } from "../numeric/random-stream.js";
import { refuse } from "../numeric/refuse.js";
import { pairQuality } from "./net-quality.js";
import { primitivePolynomials } from "./primitive-polynomials.js";

/** One dimension for each primitive polynomial up to degree 10. */
export const MOST_DIMENSIONS = 161;

const BITS = 32;
/** Numbers of points (as powers of two) at which pairs of dimensions are judged, and candidates for each dimension. */
const JUDGED_AT = [6, 8, 10];
const CANDIDATES = 12;
const SEED = 1967;

const chosen: Uint32Array[] = [];

/**
 * Direction numbers of a Sobol' sequence (I. M. Sobol', USSR Comput. Math. 7(4), 1967), one array of 32 a dimension.
 *
 * Construction: primitive polynomials in order of degree; the free initial numbers of each dimension are the best of 12
 * seeded random candidates, judged by Σ 2ᵗ over the pairs with all earlier dimensions at 2⁶, 2⁸ and 2¹⁰ points. Found by
 * computation at first use and kept; the same in every run. No published table is used.
 * @throws RangeError above {@link MOST_DIMENSIONS}
 */
export function directionNumbers(dimensions: number): readonly Uint32Array[] {
  if (!(Number.isInteger(dimensions) && dimensions >= 1 && dimensions <= MOST_DIMENSIONS))
    refuse(
      "the number of dimensions is out of range",
      `1 … ${MOST_DIMENSIONS}`,
      dimensions,
      "directionNumbers",
    );
  const polynomials = primitivePolynomials(dimensions);
  for (let d = chosen.length; d < dimensions; d++) chosen.push(choose(polynomials[d]!, d));
  return chosen.slice(0, dimensions);
}

function choose(polynomial: number, dimension: number): Uint32Array {
  const stream = createStream(SEED, dimension);
  const degree = 31 - Math.clz32(polynomial);
  let best: Uint32Array = new Uint32Array(BITS);
  let least = Infinity;
  for (let candidate = 0; candidate < CANDIDATES; candidate++) {
    const initial = Array.from({ length: degree }, (_, k) => 2 * stream.integer(2 ** k) + 1);
    const v = continued(polynomial, degree, initial);
    let cost = 0;
    for (let k = 0; k < dimension && cost < least; k++)
      for (const m of JUDGED_AT) cost += 2 ** pairQuality(v, chosen[k]!, m);
    if (cost < least) [best, least] = [v, cost];
  }
  return best;
}

/** Sobol's recurrence from the initial odd numbers mₖ < 2ᵏ. */
function continued(polynomial: number, degree: number, initial: readonly number[]): Uint32Array {
  const v = new Uint32Array(BITS);
  for (let k = 0; k < BITS; k++) {
    if (degree === 0) v[k] = 2 ** (BITS - 1 - k);
    else if (k < degree) v[k] = initial[k]! * 2 ** (BITS - 1 - k);
    else {
      let next = v[k - degree]! ^ (v[k - degree]! >>> degree);
      for (let j = 1; j < degree; j++) if ((polynomial >> (degree - j)) & 1) next ^= v[k - j]!;
      v[k] = next;
    }
  }
  return v;
}
