/** Round numbers at even distances that span what is between `low` and `high`: about `count` of them, 1, 2 or 5 times a power of ten apart. */
export function roundTicks(low: number, high: number, count = 5): number[] {
  const rough = (high - low) / Math.max(1, count - 1);
  if (!(rough > 0)) return [low];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((factor) => factor * power).find((size) => size >= rough * (1 - 1e-9))!;
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, i) => Number(((first + i) * step).toPrecision(12)));
}
