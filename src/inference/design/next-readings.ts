import { at } from "../../core/numeric/dense.js";
import type { Job } from "../../model/job/job.js";
import { type SourceId, sameSource } from "../../model/source-id.js";
import type { Advice, Decision } from "../decision/decide-moves.js";
import type { SourceFit } from "../estimates/fit-sources.js";
import { equipmentOf } from "./borrowed.js";
import {
  type SeparatingReading,
  type SignReading,
  separatingReadings,
  signReading,
  signReadings,
} from "./informative-readings.js";
import type { ReadingValue } from "./value-of-reading.js";

/** A reading that the verdicts on some jigs and stops ask for. */
export interface NamedReading {
  readonly reading: ReadingValue;
  /** The jigs and stops that are not known without it. */
  readonly of: readonly Advice[];
}

/** What to read next. Every command takes its readings from here, so that no two commands ask for different ones and none asks for a reading that the verdicts do not need. */
export interface NextReadings {
  /** To be taken before anything that depends on them is moved; in descending order of value less cost. */
  readonly beforeMoving: readonly NamedReading[];
  /** Readings that would identify the rest of what is not known, but are not worth their cost. */
  readonly whenConvenient: readonly NamedReading[];
  /** What each named reading shows for either sign of an unidentified source, and the readings that identify the signs of sources that no adjuster moves. */
  readonly signs: readonly SignReading[];
  /** Readings for unidentified combinations that involve no jig or stop with a verdict. */
  readonly separating: readonly SeparatingReading[];
}

/**
 * The readings that still have to be taken after a decision.
 *
 * @param seed seed of the scenarios on which separating readings are judged, an integer ≥ 0.
 */
export function nextReadings(
  job: Job,
  fit: SourceFit,
  { advice }: Pick<Decision, "advice">,
  seed: number,
): NextReadings {
  const named = namedReadings(advice);
  const ofAdvice = (id: SourceId): Advice | undefined =>
    advice.find(({ adjuster }) => sameSource(at(fit.sources, adjuster.source).id, id));
  const spoken = (id: SourceId): boolean => {
    const one = ofAdvice(id);
    return one !== undefined && !(one.verdict === "not known" && one.read === null);
  };
  return {
    beforeMoving: named.filter(({ of }) => of.some(({ readPays }) => readPays)),
    whenConvenient: named.filter(({ of }) => !of.some(({ readPays }) => readPays)),
    signs: [
      ...signsOfNamed(job, fit, advice),
      ...signReadings(job, fit).filter(({ source }) => !spoken(source)),
    ],
    separating: separatingReadings(job, fit, seed).filter(
      ({ combination }) => !combination.weights.some(({ source }) => spoken(source)),
    ),
  };
}

const net = ({ reading: { value, cost } }: NamedReading): number => value - cost;

/** Readings that the verdicts ask for, each listed once with everything it is asked for, in descending order of value less cost. */
export function namedReadings(advice: readonly Advice[]): NamedReading[] {
  const found = new Map<ReadingValue, Advice[]>();
  for (const one of advice) {
    if (one.verdict !== "not known" || one.read === null) continue;
    const own = found.get(one.read);
    if (own) own.push(one);
    else found.set(one.read, [one]);
  }
  return [...found].map(([reading, of]) => ({ reading, of })).sort((a, b) => net(b) - net(a));
}

/** For jigs and stops whose sign is not identified: what the reading that their verdict asks for shows for either sign. */
function signsOfNamed(job: Job, fit: SourceFit, advice: readonly Advice[]): SignReading[] {
  const { instruments, borrowed } = equipmentOf(job);
  const equipped: Job = { ...job, instruments: [...instruments, ...borrowed] };
  return advice.flatMap(({ adjuster: { source }, read }): SignReading[] => {
    if (read === null || at(fit.sources, source).sides === null) return [];
    const [station] = read.stations;
    const [reading] = read.readings;
    if (!station || !reading) return [];
    const told = signReading(equipped, fit, source, [{ ...station, readings: [reading] }]);
    return told === null ? [] : [told];
  });
}
