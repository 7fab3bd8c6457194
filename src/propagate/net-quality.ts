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
    while (more < m - d && insert(own, rowsB[more]!)) more++;
    strength = Math.min(strength, d + more);
    if (d < m && !insert(basis, rowsA[d]!)) return m - Math.min(strength, d);
  }
  return m - strength;
}

/** Row r as a bit pattern over the first m direction numbers. */
function leadingRows(v: Uint32Array, m: number): Int32Array {
  return Int32Array.from({ length: m }, (_, r) => {
    let row = 0;
    for (let k = 0; k < m; k++) row |= ((v[k]! >>> (31 - r)) & 1) << k;
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
    rest ^= basis[lead]!;
  }
  return false;
}
