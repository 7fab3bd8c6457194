import type { Job } from "./job.js";

/** When a cell closes: its worst gap and its worst press at most these, mm. */
export interface ClosingLimits {
  readonly gap: number;
  readonly snug: number;
}

/**
 * The limits a job's cells are judged by. Where pieces are fitted by trial every one of them has gone in by hand, and those already in are pressed further by those that
 * follow: the press is told, but no cell fails by it.
 */
export const closingLimits = ({ limits, lengths }: Pick<Job, "limits" | "lengths">): ClosingLimits =>
  lengths === "fitted" ? { gap: limits.gap, snug: Number.POSITIVE_INFINITY } : limits;
