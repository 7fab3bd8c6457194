import { at, plus } from "../../core/numeric/dense.js";
import type { Job, TrialCosts } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { JobCells } from "../likelihood/read-specimen.js";
import { type Criterion, criterionValue } from "./criterion.js";
import { type Sample, type Station, stationsOf } from "./station.js";
import { type TrialInformation, trialInformation } from "./trial-information.js";

/** One kind of trial that could be cut: what is cut, where it is read, and which readings of it are worth taking. */
export interface TrialOption {
  /** @internal */
  readonly sample: Sample;
  /** @internal */
  readonly stops: readonly StationStop[];
  readonly readings: readonly Reading[];
  /** Number of pieces cut. */
  readonly pieces: number;
  /** Minutes for everything together: pieces, benches, readings. */
  readonly minutes: number;
  /** Information about the sources, in units of their prior standard deviations, one matrix (row-major) for each scenario. @internal */
  readonly information: readonly Float64Array[];
}

/** A station of a trial, and the readings taken at it. */
export interface StationStop {
  readonly station: Station;
  readonly readings: readonly Reading[];
}

export interface OptionsProblem {
  readonly unknowns: number;
  readonly scenarios: readonly Float64Array[];
  /** Information before any new trial, row-major, in the same units. */
  readonly base: Float64Array;
  readonly criterion: Criterion;
  readonly seed: number;
  /** The job's compiled cells. */
  readonly cells: JobCells;
}

/** Readings of a station are added as long as each lowers the criterion by at least this share of the decrease that all of them together would give. */
const LEAST_SHARE_OF_FALL = 0.03;
/** Least relative decrease of the criterion for a station to be considered. */
const USELESS = 1e-6;
/** Number of scenarios used to choose readings within a station. */
const FEW = 8;

/**
 * Every kind of trial of a job: a trial piece of each set-up measured by itself, put on one bench, or both; a whole piece of each kind measured by itself;
 * and the whole cell, its pieces measured before or not.
 * Of two options with the same information, the cheaper is kept.
 */
export function trialOptions(job: Job, costs: TrialCosts, problem: OptionsProblem): TrialOption[] {
  const stations = stationsOf(job, costs);
  const samples = [...new Set(stations.map(({ sample }) => sample))];
  const options = samples.flatMap((sample) => {
    const own = stations.filter((station) => station.sample === sample);
    return optionsOf(job, own, costs, problem);
  });
  return withoutTwins(options.sort((a, b) => a.minutes - b.minutes));
}

interface Chosen extends StationStop {
  /** Indices of its readings among all readings of the trial. */
  readonly places: readonly number[];
}

function optionsOf(
  job: Job,
  stations: readonly Station[],
  costs: TrialCosts,
  problem: OptionsProblem,
): TrialOption[] {
  const readings = stations.flatMap((station) => station.readings);
  const information = trialInformation(job, readings, problem.scenarios, problem.seed, problem.cells);
  let first = 0;
  const chosen = stations.flatMap((station): Chosen[] => {
    const places = station.readings.map((_, k) => first + k);
    first += places.length;
    const taken = informativeReadings(places, information, problem);
    if (taken.length === 0) return [];
    return [{ station, places: taken, readings: taken.map((place) => at(readings, place)) }];
  });
  const hands = combinations(chosen.filter(({ station }) => station.bench === "none"));
  const benches = chosen.filter(({ station }) => station.bench !== "none");
  const { sample } = at(stations, 0);
  const plans: Chosen[][] = [
    ...hands.filter((hand) => hand.length > 0),
    // If a bench holds several pieces, it is not known which of them was measured.
    ...benches.flatMap((bench) =>
      (sample.kind === "cell" || bench.station.pieces === 1 ? hands : [[]]).map((hand) => [...hand, bench]),
    ),
  ];
  return plans.map((plan) => {
    const pieces = Math.max(...plan.map(({ station }) => station.pieces));
    const minutes = plan.reduce(
      (sum, { station, places }) => sum + station.minutes + places.length * station.minutesEach,
      pieces * costs.piece,
    );
    return {
      sample,
      stops: plan.map(({ station, readings }) => ({ station, readings })),
      readings: plan.flatMap((one) => one.readings),
      pieces,
      minutes,
      information: information.of(plan.flatMap(({ places }) => places)),
    };
  });
}

/** The empty set, every single station, and every set with at most one instrument for each quantity. */
function combinations(stations: readonly Chosen[]): Chosen[][] {
  let sets: Chosen[][] = [[]];
  for (const station of stations) {
    const own = new Set(station.readings.map(({ what }) => what));
    const free = sets.filter(
      (set) => !set.some(({ readings }) => readings.some(({ what }) => own.has(what))),
    );
    sets = [...sets, ...free.map((set) => [...set, station])];
  }
  return sets;
}

/** Readings of a station, chosen greedily as long as the next one adds enough information. */
function informativeReadings(
  places: readonly number[],
  information: TrialInformation,
  { unknowns: p, base, criterion }: OptionsProblem,
): number[] {
  const lossOf = (taken: readonly number[]): number => {
    const sums = information
      .of(taken)
      .slice(0, FEW)
      .map((matrix) => plus(matrix, base));
    return criterionValue(sums, p, criterion);
  };
  const before = lossOf([]);
  const most = before - lossOf(places);
  if (most <= USELESS * (Math.abs(before) + 1)) return [];
  const taken: number[] = [];
  let value = before;
  while (taken.length < places.length) {
    const left = places.filter((place) => !taken.includes(place));
    const values = left.map((place) => lossOf([...taken, place]));
    const least = Math.min(...values);
    if (value - least < LEAST_SHARE_OF_FALL * most) break;
    taken.push(at(left, values.indexOf(least)));
    value = least;
  }
  return taken.sort((a, b) => a - b);
}

/** The options without those that have the same information as an earlier one. */
function withoutTwins(options: readonly TrialOption[]): TrialOption[] {
  const seen = new Set<string>();
  return options.filter(({ information }) => {
    const key = information
      .slice(0, 2)
      .flatMap((matrix) => [...matrix])
      .map((x) => x.toPrecision(6))
      .join(" ");
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}
