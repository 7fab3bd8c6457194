import { z } from "zod";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import type { PriorCase } from "../../model/recorded-prior.js";
import type { SourceId } from "../../model/source-id.js";
import { faultSentence } from "../faults.js";
import { ANGLE_SD_RULE, MOST_ANGLE_SD } from "../job/limits.js";
import { angle, length, list, number } from "../yaml/fields.js";
import type { KeyPath, YamlSource } from "../yaml/yaml-source.js";

/** The joint distribution of a record's jigs and stops: a mixture of normal distributions, rad and mm, as recorded. */
export interface RecordedTogether {
  readonly sources: readonly SourceId[];
  readonly cases: readonly PriorCase[];
}

/** The name of a source in `together`: `ramp point-45`. */
export const togetherName = ({ kind, of }: Pick<SourceId, "kind" | "of">): string => `${kind} ${of}`;

/** The name of a pair in `correlations`. */
export const pairName = (a: string, b: string): string => `${a} with ${b}`;

const caseShape = z.strictObject({
  share: number("share", (value) => value > 0 && value <= 1, "it is above 0 and at most 1"),
  errors: z.record(z.string(), z.unknown()),
  uncertainties: z.record(z.string(), z.unknown()),
  correlations: z.record(z.string(), z.unknown()).optional(),
});
const correlation = number(
  "correlation",
  (value) => Math.abs(value) < 1,
  "a correlation lies between −1 and 1",
);

/** Largest error of a stop that is accepted, mm, for any cell. */
export const MOST_STOP = { most: 100 };
/** Tolerance for shares to add up to 1. */
const ROUNDED = 0.01;

/**
 * Reads the key `together` of a record.
 *
 * @param known the jigs and stops that the record has entries for.
 * @returns `null` if the record has no such key, or after noting a fault.
 */
export function readTogether(source: YamlSource, known: readonly SourceId[]): RecordedTogether | null {
  if (source.at(["together"]) === undefined) return null;
  const read = source.take(["together"], list(caseShape as z.ZodType<z.output<typeof caseShape>>));
  if (read === undefined) return null;
  const names = known.map(togetherName);
  const first = Object.keys(read[0]?.errors ?? {});
  const sources = known.filter((id) => first.includes(togetherName(id)));
  const own = sources.map(togetherName);
  const refuse = (path: KeyPath, problem: string, rule: string, value: unknown): void =>
    source.refuse(path, faultSentence({ what: "together", problem, rule, value }));
  for (const [c, one] of read.entries())
    for (const group of ["errors", "uncertainties"] as const)
      for (const name of new Set([...Object.keys(one[group]), ...own])) {
        const path = ["together", c, group];
        if (!names.includes(name))
          refuse(
            path,
            "it names what the record has no entry for",
            "each is a ramp, lean or stop of this record",
            name,
          );
        else if (!own.includes(name) || !(name in one[group]))
          refuse(
            path,
            "it is not the same in all cases",
            "every case has an error and an uncertainty of each",
            name,
          );
      }
  const cases = read.map((one, c) => caseOf(source, sources, one, ["together", c]));
  const total = read.reduce((sum, { share }) => sum + share, 0);
  if (Math.abs(total - 1) > ROUNDED)
    refuse(["together"], "the shares do not add up to 1", "each is the chance of its case", total);
  return { sources, cases: cases.map((one) => ({ ...one, share: one.share / total })) };
}

function caseOf(
  source: YamlSource,
  sources: readonly SourceId[],
  { share, correlations = {} }: z.output<typeof caseShape>,
  path: KeyPath,
): PriorCase {
  const names = sources.map(togetherName);
  const n = names.length;
  const taken = (group: "errors" | "uncertainties", i: number): number => {
    const sign = group === "errors" ? "any" : "positive";
    const id = sources[i];
    const name = names[i] ?? "";
    const shape =
      id?.kind === "stop"
        ? length(name, "mm", sign, MOST_STOP)
        : angle(name, sign, MOST_ANGLE_SD, ANGLE_SD_RULE);
    return source.take([...path, group, name], shape) ?? 0;
  };
  const mean = names.map((_, i) => taken("errors", i));
  const deviations = names.map((_, i) => taken("uncertainties", i));
  const tied = new Map<string, number>();
  for (const key of Object.keys(correlations)) {
    const [a, b] = pairOf(key, names);
    if (a < 0)
      source.refuse(
        [...path, "correlations"],
        faultSentence({
          what: "correlations",
          problem: "it is not a pair of this case",
          rule: "a pair is written as “stop hinge-mitre with stop hinge-seat”",
          value: key,
        }),
      );
    const r = source.take([...path, "correlations", key], correlation) ?? 0;
    tied.set(`${a} ${b}`, r).set(`${b} ${a}`, r);
  }
  const covariance = Array.from({ length: n * n }, (_, k) => {
    const [i, j] = [Math.floor(k / n), k % n];
    // Slightly more than 1, because correlations are rounded.
    const r = i === j ? 1 + 1e-5 : (tied.get(`${i} ${j}`) ?? 0);
    return r * (deviations[i] ?? 0) * (deviations[j] ?? 0);
  });
  if (n > 0 && deviations.every((u) => u > 0) && !choleskyInPlace(Float64Array.from(covariance), n))
    source.refuse(
      [...path, "correlations"],
      faultSentence({
        what: "correlations",
        problem: "they contradict each other",
        rule: "what is tied to two others ties those two as well; keep them as “sukima record” wrote them",
      }),
    );
  return { share, mean, covariance };
}

/** Indices of the two sources that a pair's name refers to; −1 for none. */
function pairOf(key: string, names: readonly string[]): readonly [number, number] {
  for (const [a, one] of names.entries())
    for (const [b, other] of names.entries()) if (a !== b && key === pairName(one, other)) return [a, b];
  return [-1, -1];
}
