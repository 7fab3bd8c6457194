/**
 * Draws (row-major, draw by source) with one sign each of the sources named: the signs that most draws have together.
 * The mean over both sides of such a source is a place where it hardly can be; the mean of these is one where it may.
 */
export function oneSide(sample: Float64Array, p: number, sided: readonly number[]): Float64Array {
  if (sided.length === 0) return sample;
  const rows = Array.from({ length: sample.length / p }, (_, d) => sample.subarray(d * p, (d + 1) * p));
  const bySigns = new Map<string, Float64Array[]>();
  for (const row of rows) {
    const signs = sided.map((i) => (row[i]! >= 0 ? "+" : "-")).join("");
    const alike = bySigns.get(signs);
    if (alike) alike.push(row);
    else bySigns.set(signs, [row]);
  }
  const [most] = [...bySigns.values()].sort((a, b) => b.length - a.length);
  return Float64Array.from(most!.flatMap((row) => [...row]));
}
