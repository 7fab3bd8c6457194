const MM_PER_INCH = 25.4;
/** What a rough piece is marked out to: whole mm, sixteenths of an inch. */
const MARK = { mm: 1, in: MM_PER_INCH / 16 } as const;

/** A rough piece's length rounded up to a mark that a saw's stop is set by, mm. */
export function roughLength(mm: number, units: "mm" | "in"): number {
  const marks = Math.ceil(mm / MARK[units] - 1e-9);
  return marks * MARK[units];
}
