/** One result of the bench. */
export interface BenchLine {
  readonly name: string;
  /** What was measured, as a multiple of what it is measured against (or in the unit that the name says); `null` when it was skipped. */
  readonly ratio: number | null;
  /** Smallest and largest over the repeats. */
  readonly spread: readonly [number, number] | null;
  /** What is wanted of the ratio; `null` when it is only reported. */
  readonly target: number | null;
  readonly wanted: "at most" | "at least";
  /** `null` when there is nothing to be met. */
  readonly met: boolean | null;
  readonly nsPerTrial: number | null;
  readonly note: string;
}

/** A line from the ratios of all repeats: their median is held to the target. */
export function lineOf(
  name: string,
  ratios: readonly number[],
  target: number | null,
  wanted: "at most" | "at least",
  nsPerTrial: number | null,
  note = "",
): BenchLine {
  const ratio = median(ratios);
  const met = target === null ? null : wanted === "at most" ? ratio <= target : ratio >= target;
  return {
    ...{ name, ratio, target, wanted, met, nsPerTrial, note },
    spread: [Math.min(...ratios), Math.max(...ratios)],
  };
}

/** A line that could not be measured here. */
export const skippedLine = (name: string, why: string): BenchLine => ({
  ...{ name, ratio: null, spread: null, target: null, wanted: "at least", met: null, nsPerTrial: null },
  note: `skipped: ${why}`,
});

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

/** The line as text. */
export function lineText({ name, ratio, spread, target, wanted, met, nsPerTrial, note }: BenchLine): string {
  const number = (x: number): string => (x >= 100 ? x.toFixed(0) : x.toPrecision(3));
  const parts = [name.padEnd(52)];
  if (ratio !== null) parts.push(number(ratio).padStart(7));
  if (spread) parts.push(`(${number(spread[0])} … ${number(spread[1])})`.padEnd(19));
  if (target !== null)
    parts.push(
      `${wanted} ${number(target)}: ${met === null ? "not judged" : met ? "met" : "NOT MET"}`.padEnd(22),
    );
  if (nsPerTrial !== null) parts.push(`${nsPerTrial.toFixed(0)} ns a trial`);
  if (note !== "") parts.push(note);
  return parts.join("  ").trimEnd();
}
