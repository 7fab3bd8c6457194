/** One reading of a gauge study. */
export interface GaugeReading {
  readonly part: string;
  /** Who read it. */
  readonly reader: string;
  /** In one unit throughout, mm or rad. */
  readonly value: number;
}

/** A crossed, balanced study: every reader read every part equally often. */
export interface CrossedTable {
  readonly parts: readonly string[];
  readonly readers: readonly string[];
  readonly repeats: number;
  /** Readings of a part by a reader, in the order they were taken. */
  readonly cell: (part: number, reader: number) => readonly number[];
}

/** Fewest parts, and fewest readings of each part by each reader. */
export const LEAST = { parts: 2, repeats: 2 } as const;

/** Why readings make no gauge study. */
export class GaugeStudyError extends Error {
  override readonly name = "GaugeStudyError";
}

/**
 * Sorts readings by part and reader, in the order in which they first appear.
 *
 * @throws GaugeStudyError when a reader did not read every part as often as the others, or there is too little to tell anything.
 */
export function crossedTable(readings: readonly GaugeReading[]): CrossedTable {
  const parts = [...new Set(readings.map(({ part }) => part))];
  const readers = [...new Set(readings.map(({ reader }) => reader))];
  const cells = new Map<string, number[]>();
  const key = (part: string, reader: string): string => JSON.stringify([part, reader]);
  for (const { part, reader, value } of readings) {
    if (!Number.isFinite(value))
      throw new GaugeStudyError(
        `A reading of part ${part} is no number; every reading must be one; the value was ${value}.`,
      );
    cells.set(key(part, reader), [...(cells.get(key(part, reader)) ?? []), value]);
  }
  if (parts.length < LEAST.parts) {
    throw new GaugeStudyError(
      `There are too few parts; a study needs ${LEAST.parts} at least, and ten is usual; there ${parts.length === 1 ? "is 1" : `are ${parts.length}`}.`,
    );
  }
  const counts = parts.flatMap((part) =>
    readers.map((reader) => ({ part, reader, count: cells.get(key(part, reader))?.length ?? 0 })),
  );
  const repeats = counts[0]!.count;
  const odd = counts.find(({ count }) => count !== repeats);
  if (odd) {
    throw new GaugeStudyError(
      `The study is not balanced; every reader reads every part equally often; ${counts[0]!.reader} read part ${counts[0]!.part} ${times(repeats)} and ${odd.reader} read part ${odd.part} ${times(odd.count)}.`,
    );
  }
  if (repeats < LEAST.repeats) {
    throw new GaugeStudyError(
      `There are no repeated readings; every reader reads every part ${LEAST.repeats} times at least; each was read ${times(repeats)}.`,
    );
  }
  return { parts, readers, repeats, cell: (p, r) => cells.get(key(parts[p]!, readers[r]!))! };
}

const times = (count: number): string =>
  count === 0 ? "never" : count === 1 ? "once" : count === 2 ? "twice" : `${count} times`;
