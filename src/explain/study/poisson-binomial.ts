/** Probabilities that 0, 1, … n of independent events with the given probabilities happen. */
export function poissonBinomial(probabilities: readonly number[]): Float64Array {
  const out = new Float64Array(probabilities.length + 1);
  out[0] = 1;
  for (const [n, p] of probabilities.entries()) {
    for (let k = n + 1; k > 0; k--) out[k] = out[k]! * (1 - p) + out[k - 1]! * p;
    out[0]! *= 1 - p;
  }
  return out;
}

/** The smallest and largest number of events of which less than `tail` lies beyond on either side. */
export function centralCounts(probabilities: readonly number[], tail: number): [number, number] {
  const mass = poissonBinomial(probabilities);
  let low = 0;
  for (let sum = mass[0]!; sum < tail; sum += mass[low]!) low++;
  let high = mass.length - 1;
  for (let sum = mass[high]!; sum < tail; sum += mass[high]!) high--;
  return [low, high];
}
