import { moveName, type Source } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import type { SourceEstimate } from "./fit-sources.js";

/** A ramp or stop after the known moves: its error, the moves, and what they missed by. */
export function standing(
  job: Job,
  sources: readonly Source[],
  index: number,
  estimates: Float64Array,
  covariance: Float64Array,
): SourceEstimate["now"] {
  const p = sources.length;
  const made = job.rounds.flatMap(({ name: round, moves }) =>
    moves.filter(({ source }) => source === sources[index]!.name).map((move) => ({ round, move })),
  );
  const parts = [
    index,
    ...made
      .map(({ round, move }) => sources.findIndex(({ name }) => name === moveName(move.source, round)))
      .filter((i) => i >= 0),
  ];
  const variance = parts.reduce((sum, a) => parts.reduce((s, b) => s + covariance[a * p + b]!, sum), 0);
  return {
    estimate:
      parts.reduce((sum, i) => sum + estimates[i]!, 0) + made.reduce((sum, { move }) => sum + move.by, 0),
    standardUncertainty: Math.sqrt(Math.max(0, variance)),
  };
}
