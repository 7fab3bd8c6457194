import { quantileSorted } from "simple-statistics";
import { addScaled, at, columnOf } from "../../core/numeric/dense.js";
import type { TwoSides } from "../../inference/estimates/identifiability.js";
import type { JobPosterior } from "../../inference/job-posterior.js";
import { cellSpecimen, type Specimen } from "../../inference/likelihood/specimen.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import { type SourceId, sameSource, sourceKey } from "../../model/source-id.js";
import type { Source } from "../../model/sources.js";

/** The current state of a ramp, stop, lean or the batch's thickness: how far it is off, and whether that matters. */
export interface SourceCause {
  /** Id without a round: its error, the known moves and their re-setting errors are combined. */
  readonly id: SourceId;
  readonly angular: boolean;
  /** Mean, standard uncertainty and central 95 % interval of its current state, rad or mm. */
  readonly estimate: number;
  readonly standardUncertainty: number;
  readonly interval: readonly [number, number];
  /** 1 or −1 if the whole interval lies on that side of zero; 0 if its sign is not known. */
  readonly sign: -1 | 0 | 1;
  /** If its size is known but not its sign: both sides; otherwise `null`. */
  readonly sides: TwoSides | null;
  /** Sizes, above zero and below (both > 0), from which it keeps an otherwise perfect cell from closing; rad or mm. */
  readonly matters: { readonly above: number; readonly below: number };
  /** Probability that it is off by more than the size that matters. */
  readonly chance: Chance;
}

/** A probability, and half the width of the 95 % interval of its sampling error. */
export interface Chance {
  readonly value: number;
  readonly samplingError: number;
}

/** A probability with a larger sampling error than this, on either side, is not printed. */
export const PRINTABLE = 0.02;

/** Two successes and two failures are added, so that the error is not 0 at shares of 0 and 1 (A. Agresti and B. A. Coull, The American Statistician 52, 1998). */
export function chanceOf(share: number, draws: number): Chance {
  const shrunk = (share * draws + 2) / (draws + 4);
  return { value: share, samplingError: 2 * Math.sqrt((shrunk * (1 - shrunk)) / (draws + 4)) };
}

/** The current state of every ramp, stop, lean and thickness that acts on the job's next cell. */
export function sourceCauses(posterior: JobPosterior): SourceCause[] {
  const { job, sources } = posterior;
  const specimen = cellSpecimen(job, posterior.fit?.target.cells);
  const directions = sources.map((_, s) => columnOf(specimen.matrix, s, sources.length));
  const ids = sources.flatMap(({ id: { kind, of } }, s): SourceId[] =>
    at(directions, s).some((slope) => slope !== 0) ? [{ kind, of }] : [],
  );
  return [...new Map(ids.map((id) => [sourceKey(id), id])).values()].map((id): SourceCause => {
    const [first = 0, ...more] = membersOf(sources, id);
    const states = statesOf(posterior, id);
    // A source that was never moved gets exactly the calibration's figures.
    const alone = more.length === 0 && movesOf(job, id) === 0 ? posterior.fit?.sources[first] : undefined;
    const { estimate, standardUncertainty } = alone ?? momentsOf(states);
    const interval = alone?.interval ?? intervalOf(states);
    const { angular, priorSd } = at(sources, first);
    const matters = sizesThatMatter(job, specimen, at(directions, first), priorSd);
    const beyond = states.reduce((n, x) => n + (x > matters.above || x < -matters.below ? 1 : 0), 0);
    return {
      id,
      angular,
      estimate,
      standardUncertainty,
      interval,
      matters,
      sign: interval[0] > 0 ? 1 : interval[1] < 0 ? -1 : 0,
      sides: alone?.sides ?? null,
      chance: chanceOf(beyond / posterior.draws, posterior.effectiveSampleSize),
    };
  });
}

/** State of a ramp, stop, lean or thickness in each draw, rad or mm: its error plus the known moves and their re-setting errors. */
export function statesOf({ job, sources, sample, draws }: JobPosterior, id: SourceId): Float64Array {
  const p = sources.length;
  const members = membersOf(sources, id);
  const moved = movesOf(job, id);
  return Float64Array.from({ length: draws }, (_, d) =>
    members.reduce((sum, s) => sum + at(sample, d * p + s), moved),
  );
}

/** Indices of the sources that it consists of. */
const membersOf = (sources: readonly Source[], id: SourceId): number[] =>
  sources.flatMap(({ id: { kind, of } }, s) => (sameSource({ kind, of }, id) ? [s] : []));

/** Sum of the known moves of a ramp or stop, rad or mm. */
const movesOf = ({ rounds }: Job, id: SourceId): number =>
  rounds
    .flatMap(({ moves }) => moves)
    .reduce((sum, { source, by }) => sum + (sameSource(source, id) ? by : 0), 0);

function momentsOf(values: Float64Array): { estimate: number; standardUncertainty: number } {
  const estimate = values.reduce((a, b) => a + b, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - estimate) ** 2, 0);
  return { estimate, standardUncertainty: Math.sqrt(squares / values.length) };
}

function intervalOf(values: Float64Array): [number, number] {
  const sorted = Array.from(values).sort((a, b) => a - b);
  return [quantileSorted(sorted, 0.025), quantileSorted(sorted, 0.975)];
}

/**
 * The sizes at which an error by itself brings a perfect cell to its limits. Gaps at first order are proportional to the error, so one seated cell on either side of zero is sufficient.
 *
 * @param direction change of each elementary error by one rad or mm of it; `unit` a size to try, rad or mm.
 */
function sizesThatMatter(
  job: Job,
  { reader }: Specimen,
  direction: Float64Array,
  unit: number,
): SourceCause["matters"] {
  const { gap: gapLimit, snug } = closingLimits(job);
  const size = (sign: 1 | -1): number => {
    const errors = new Float64Array(direction.length);
    addScaled(errors, direction, sign * unit);
    const { gap } = reader.seatOne(errors, { order: "first", pressRatio: job.pressRatio });
    const read = gap.subarray(0, reader.model.readProbes);
    const widest = Math.max(0, ...read);
    const deepest = Math.max(0, ...read.map((g) => -g));
    return unit * Math.min(gapLimit / widest, snug / deepest);
  };
  return { above: size(1), below: size(-1) };
}
