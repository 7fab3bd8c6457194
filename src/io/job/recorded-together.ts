import { momentsOfCases, type PriorCase, type RecordedPrior } from "../../model/recorded-prior.js";
import type { Jig, SetUp } from "../../model/shop.js";
import { type SourceId, sameSource } from "../../model/source-id.js";
import type { JigRecord, Widen } from "../records/jig-record.js";

type Jigs = ReadonlyMap<string, Jig | null>;

/** A record with the name of its file. */
interface Read {
  readonly name: string;
  readonly record: JigRecord;
}

/** Maximum number of mixture components of all records together. */
const MOST_CASES = 64;

/** Joint prior of the sources that the records cover in this job; records are independent of each other. `null` if they cover none. */
export function recordedTogether(
  read: readonly Read[],
  { jigs, setUps }: { readonly jigs: Jigs; readonly setUps: readonly SetUp[] },
  widen: Widen,
): RecordedPrior | null {
  const own = [...jigs.values()].filter((jig) => jig !== null);
  const covers = (group: "ramps" | "leans" | "stops", of: string, mean: number | undefined): boolean =>
    mean !== undefined && read.some(({ record }) => record[group].get(of)?.error === mean);
  const sources: SourceId[] = [
    ...own.flatMap((jig): SourceId[] => [
      ...(covers("ramps", jig.name, jig.priorMean) ? [{ kind: "ramp", of: jig.name } as const] : []),
      ...(covers("leans", jig.name, jig.lean?.priorMean) && (jig.lean?.priorSd ?? 0) > 0
        ? [{ kind: "lean", of: jig.name } as const]
        : []),
    ]),
    ...setUps.flatMap(({ name: of, stop }): SourceId[] =>
      covers("stops", of, stop?.priorMean) ? [{ kind: "stop", of }] : [],
    ),
  ];
  if (sources.length === 0) return null;
  const files = read
    .filter(({ record }) => sources.some((id) => entryFor(record, id)))
    .map(({ name }) => name);
  let cases: readonly PriorCase[] = [
    { share: 1, mean: sources.map(() => 0), covariance: sources.flatMap(() => sources.map(() => 0)) },
  ];
  for (const { record } of read)
    cases = cases.flatMap((before) => casesOf(record, sources, read).map((more) => addedCases(before, more)));
  const likeliest = cases.toSorted((a, b) => b.share - a.share).slice(0, MOST_CASES);
  const total = likeliest.reduce((sum, { share }) => sum + share, 0);
  const n = sources.length;
  return {
    files,
    sources,
    cases: likeliest.map(({ share, mean, covariance }) => ({
      share: share / total,
      mean,
      covariance: covariance.map((value, k) =>
        k % (n + 1) === 0
          ? value + (sources[k % n]?.kind === "stop" ? widen.stops : widen.ramps) ** 2
          : value,
      ),
    })),
  };
}

const entryFor = ({ ramps, leans, stops }: JigRecord, { kind, of }: SourceId) =>
  (kind === "ramp" ? ramps : kind === "lean" ? leans : stops).get(of);

/** The mixture components of one record over all sources; 0 for sources that it does not cover, or that an earlier record covers. */
function casesOf(record: JigRecord, sources: readonly SourceId[], read: readonly Read[]): PriorCase[] {
  const n = sources.length;
  const covered = sources.map((id) => read.find((one) => entryFor(one.record, id))?.record === record);
  const { together } = record;
  const placeOf = (id: SourceId): number => together?.sources.findIndex((one) => sameSource(one, id)) ?? -1;
  const places = sources.map((id, i) => (covered[i] ? placeOf(id) : -1));
  const m = together?.sources.length ?? 0;
  const cases = together && places.some((place) => place >= 0) ? together.cases : [null];
  return cases.map((one) => ({
    share: one?.share ?? 1,
    mean: sources.map((id, i) => {
      const place = places[i] ?? -1;
      if (one && place >= 0) return one.mean[place] ?? 0;
      return covered[i] ? (entryFor(record, id)?.error ?? 0) : 0;
    }),
    covariance: Array.from({ length: n * n }, (_, k) => {
      const [i, j] = [Math.floor(k / n), k % n];
      const [a, b] = [places[i] ?? -1, places[j] ?? -1];
      if (one && a >= 0 && b >= 0) return one.covariance[a * m + b] ?? 0;
      const alone = i === j && covered[i] && a < 0;
      return alone ? (entryFor(record, sources[i] as SourceId)?.uncertainty ?? 0) ** 2 : 0;
    }),
  }));
}

const addedCases = (a: PriorCase, b: PriorCase): PriorCase => ({
  share: a.share * b.share,
  mean: a.mean.map((value, i) => value + (b.mean[i] ?? 0)),
  covariance: a.covariance.map((value, k) => value + (b.covariance[k] ?? 0)),
});

/** Each jig and stop with its mean and standard deviation over all components. */
export function withMoments(
  { jigs, setUps }: { readonly jigs: Jigs; readonly setUps: readonly SetUp[] },
  { sources, cases }: RecordedPrior,
): { jigs: Jigs; setUps: readonly SetUp[] } {
  const { mean, covariance } = momentsOfCases(cases);
  const of = (id: SourceId): { priorMean: number; priorSd: number } | null => {
    const i = sources.findIndex((one) => sameSource(one, id));
    if (i < 0) return null;
    return { priorMean: mean[i] ?? 0, priorSd: Math.sqrt(covariance[i * (sources.length + 1)] ?? 0) };
  };
  return {
    jigs: new Map(
      [...jigs].map(([name, jig]): [string, Jig | null] => {
        if (jig === null) return [name, jig];
        const lean = jig.lean && { ...jig.lean, ...of({ kind: "lean", of: name }) };
        return [name, { ...jig, ...of({ kind: "ramp", of: name }), ...(lean && { lean }) }];
      }),
    ),
    setUps: setUps.map((setUp) =>
      setUp.stop ? { ...setUp, stop: { ...setUp.stop, ...of({ kind: "stop", of: setUp.name }) } } : setUp,
    ),
  };
}
