import { refuse } from "../core/errors.js";
import { at } from "../core/numeric/dense.js";
import { createStream, type RandomStream } from "../core/numeric/random-stream.js";

/** Points of a randomised low-discrepancy sequence, each coordinate in (0, 1). */
interface PointSequence {
  /** Writes the next point. */
  next(point: Float64Array): void;
}

/**
 * A Sobol' sequence with a random linear scrambling of its digits and a random digital shift
 * (J. Matoušek, J. Complexity 14, 1998): each point is uniform on the cube, and the first 2ᵐ points of every scrambling
 * spread as evenly as those of the plain sequence. Independent streams give independent scramblings, whose scatter
 * measures the error. At most 2³² points; take powers of two.
 * @throws RangeError as `directionNumbers`
 */
export function scrambledSobol(dimensions: number, stream: RandomStream): PointSequence {
  const scrambled = directionNumbers(dimensions).map((v) => scramble(v, stream));
  const state = Uint32Array.from({ length: dimensions }, () => word(stream));
  let index = 0;
  return {
    next(point) {
      for (let d = 0; d < dimensions; d++) point[d] = (at(state, d) + 0.5) * 2 ** -32;
      const changed = Math.clz32(~index & (index + 1)) ^ 31; // the bit that the Gray code of the next index flips
      for (let d = 0; d < dimensions; d++) state[d]! ^= at(at(scrambled, d), changed);
      index++;
    },
  };
}

const word = (stream: RandomStream): number => stream.integer(2 ** 32);

/** Each digit of every direction number becomes itself plus a random combination of the digits before it. */
function scramble(v: Uint32Array, stream: RandomStream): Uint32Array {
  const rows = Uint32Array.from({ length: 32 }, (_, r) => {
    const before = r === 0 ? 0 : (word(stream) >>> (32 - r)) << (32 - r);
    return before | (1 << (31 - r));
  });
  return v.map((value) => {
    let out = 0;
    for (let r = 0; r < 32; r++) out |= parity(value & at(rows, r)) << (31 - r);
    return out;
  });
}

function parity(bits: number): number {
  let b = bits ^ (bits >>> 16);
  b ^= b >>> 8;
  b ^= b >>> 4;
  return (0x6996 >>> (b & 15)) & 1;
}

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
  for (let d = chosen.length; d < dimensions; d++) chosen.push(choose(at(polynomials, d), d));
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
      for (const m of JUDGED_AT) cost += 2 ** pairQuality(v, at(chosen, k), m);
    if (cost < least) [best, least] = [v, cost];
  }
  return best;
}

/** Sobol's recurrence from the initial odd numbers mₖ < 2ᵏ. */
function continued(polynomial: number, degree: number, initial: readonly number[]): Uint32Array {
  const v = new Uint32Array(BITS);
  for (let k = 0; k < BITS; k++) {
    if (degree === 0) v[k] = 2 ** (BITS - 1 - k);
    else if (k < degree) v[k] = at(initial, k) * 2 ** (BITS - 1 - k);
    else {
      let next = at(v, k - degree) ^ (at(v, k - degree) >>> degree);
      for (let j = 1; j < degree; j++) if ((polynomial >> (degree - j)) & 1) next ^= at(v, k - j);
      v[k] = next;
    }
  }
  return v;
}

/**
 * The t of a pair of digital sequences in base 2, for their first 2ᵐ points: every box of 2^(t−m) volume with sides
 * 2⁻ᵃ and 2⁻ᵇ holds exactly 2ᵗ of them. 0 is best. From the ranks of the generator matrices' leading rows
 * (H. Niederreiter, SIAM, 1992, theorem 4.28).
 *
 * @param a,b direction numbers, 32-bit words whose top bit is the first digit
 */
export function pairQuality(a: Uint32Array, b: Uint32Array, m: number): number {
  const [rowsA, rowsB] = [leadingRows(a, m), leadingRows(b, m)];
  let strength = m;
  const basis = new Int32Array(m);
  for (let d = 0; d <= m; d++) {
    const own = basis.slice();
    let more = 0;
    while (more < m - d && insert(own, at(rowsB, more))) more++;
    strength = Math.min(strength, d + more);
    if (d < m && !insert(basis, at(rowsA, d))) return m - Math.min(strength, d);
  }
  return m - strength;
}

/** Row r as a bit pattern over the first m direction numbers. */
function leadingRows(v: Uint32Array, m: number): Int32Array {
  return Int32Array.from({ length: m }, (_, r) => {
    let row = 0;
    for (let k = 0; k < m; k++) row |= ((at(v, k) >>> (31 - r)) & 1) << k;
    return row;
  });
}

/** Adds a row to an echelon basis indexed by leading bit; false when it depends on it. */
function insert(basis: Int32Array, row: number): boolean {
  let rest = row;
  while (rest !== 0) {
    const lead = 31 - Math.clz32(rest);
    if (basis[lead] === 0) {
      basis[lead] = rest;
      return true;
    }
    rest ^= at(basis, lead);
  }
  return false;
}

/** The largest degree searched: 161 polynomials, counting the constant. */
const MOST_DEGREE = 10;

/**
 * Primitive polynomials over GF(2) by rising degree, as bit patterns (bit k = coefficient of xᵏ), found by computing
 * the order of x: 2ˢ − 1 for a primitive one of degree s. The first is 1, which stands for the van der Corput sequence.
 */
export function primitivePolynomials(count: number): number[] {
  const found = [1];
  for (let degree = 1; degree <= MOST_DEGREE && found.length < count; degree++)
    for (let low = 1; low < 2 ** degree && found.length < count; low += 2)
      if (orderOfX(2 ** degree + low, degree) === 2 ** degree - 1) found.push(2 ** degree + low);
  return found;
}

/** Smallest k > 0 with xᵏ = 1 modulo the polynomial. */
function orderOfX(polynomial: number, degree: number): number {
  let power = 1;
  for (let k = 1; k < 2 ** degree; k++) {
    power <<= 1;
    if (power >= 2 ** degree) power ^= polynomial;
    if (power === 1) return k;
  }
  return 0;
}
