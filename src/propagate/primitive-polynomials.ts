/** The largest degree searched: 161 polynomials, counting the constant. */
export const MOST_DEGREE = 10;

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
