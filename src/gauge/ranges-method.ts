import type { CrossedTable } from "./gauge-reading.js";
import { rangeConstants, rangeDivisor } from "./range-constants.js";

/** A gauge study by averages and ranges, as one does it with a pencil: standard deviations, in the readings' unit. */
export interface RangesStudy {
  readonly meanRange: number;
  readonly repeatability: number;
  /** 0 for one reader, or when the readers differ by no more than their repeats explain. */
  readonly reproducibility: number;
  /** Both together. */
  readonly gauge: number;
  readonly parts: number;
  readonly total: number;
}

/** From this many ranges on, their mean is divided by d2 itself. Common practice, no source. */
const MANY_RANGES = 15;

/** Repeatability from the mean range of repeats, reproducibility from the spread of the readers' means, parts from that of the parts' means. */
export function rangesMethod({ parts, readers, repeats, cell }: CrossedTable): RangesStudy {
  const [p, o, r] = [parts.length, readers.length, repeats];
  const ranges = parts.flatMap((_, i) => readers.map((_, j) => rangeOf(cell(i, j))));
  const meanRange = mean(ranges);
  const divisor = ranges.length > MANY_RANGES ? rangeConstants(r).d2 : rangeDivisor(r, ranges.length);
  const repeatability = meanRange / divisor;
  const readerMeans = readers.map((_, j) => mean(parts.flatMap((_, i) => cell(i, j))));
  const partMeans = parts.map((_, i) => mean(readers.flatMap((_, j) => cell(i, j))));
  const betweenReaders = o === 1 ? 0 : rangeOf(readerMeans) / rangeDivisor(o, 1);
  const reproducibility = Math.sqrt(Math.max(0, betweenReaders ** 2 - repeatability ** 2 / (p * r)));
  const gauge = Math.hypot(repeatability, reproducibility);
  const betweenParts = rangeOf(partMeans) / rangeDivisor(p, 1);
  return {
    ...{ meanRange, repeatability, reproducibility, gauge },
    parts: betweenParts,
    total: Math.hypot(gauge, betweenParts),
  };
}

const mean = (values: readonly number[]): number => values.reduce((sum, x) => sum + x, 0) / values.length;
const rangeOf = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);
