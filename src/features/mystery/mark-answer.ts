import { z } from "zod";
import { parseAngle, parseLength } from "../../core/quantity/index.js";
import type { SourceEstimate } from "../../inference/estimates/fit-sources.js";
import { faultSentence, nearest, orRefuse, unknownWord } from "../../io/faults.js";
import { text } from "../../io/yaml/fields.js";
import { spellingOf } from "../../io/yaml/job-examples.js";
import { YamlSource } from "../../io/yaml/yaml-source.js";
import { isAngular, type SourceId, sameSource, sourceKey } from "../../model/source-id.js";
import type { Source } from "../../model/sources.js";
import { sourceText } from "../../render/source-text.js";
import type { Fault } from "./make-mystery.js";

/**
 * What an answer is worth for one source. `found`: named, on the right side, the size as good as the data allow. `rough`: named, on the right side, the size further off.
 * `wrong-side`, `missed`: a fault taken the wrong way, or not named. `beyond-the-data`: not named, and the readings do not tell it from zero. `not-read`: the same where other readings could have been had.
 * `right`: rightly not named. `excusable`: named although it is right, and the readings leave room for it. `false-alarm`: named although the readings rule it out.
 */
export type Marked =
  | "found"
  | "rough"
  | "wrong-side"
  | "missed"
  | "beyond-the-data"
  | "not-read"
  | "right"
  | "excusable"
  | "false-alarm";

/** One source: the truth, the answer, and what the data could tell; rad or mm. */
export interface MarkedSource {
  readonly source: SourceId;
  /** Hidden error, rad or mm as the source is; so are the answer, the estimate and its interval. */
  readonly truth: number;
  /** Error in the answer, rad or mm; `null` where it was not named. */
  readonly answer: number | null;
  /** What the calibration estimates, and its 95 % interval, rad or mm. */
  readonly estimate: number;
  readonly interval: readonly [number, number];
  readonly marked: Marked;
  /** Number of points given. */
  readonly points: number;
  /** Number of points that could be had; 0 where nothing was to be found or the data do not tell it. */
  readonly of: number;
}

/** An answer to a mystery, marked source by source: `points` out of `of`. */
export interface Marking {
  readonly sources: readonly MarkedSource[];
  /** Number of points, whole, from 0 to `of`. */
  readonly points: number;
  readonly of: number;
}

/** Two points for a fault found and sized, one for one found roughly, one off for a false alarm. */
const POINTS = { found: 2, rough: 1, falseAlarm: -1 } as const;

/**
 * Marks an answer against the truth, and against what the data could tell: the 95 % intervals of a fit of all sources.
 * With `readable` a fault that these readings do not show still counts, because others could have been had. A size counts as good within the interval's half-width of the truth, or within the interval; no one could do better from these readings.
 */
export function markAnswer(
  estimates: readonly SourceEstimate[],
  truth: readonly Fault[],
  answer: readonly Fault[],
  { readable = false }: { readonly readable?: boolean } = {},
): Marking {
  const sizeIn = (list: readonly Fault[], id: SourceId): number | null =>
    list.find(({ source }) => sameSource(source, id))?.size ?? null;
  const sources = estimates.map((source): MarkedSource => {
    const { id, estimate, interval } = source;
    const really = sizeIn(truth, id) ?? 0;
    const said = sizeIn(answer, id);
    const seen = markOne(really, said, interval);
    const marked = readable && seen === "beyond-the-data" ? "not-read" : seen;
    return {
      source: id,
      truth: really,
      answer: said,
      estimate,
      interval,
      marked,
      ...pointsFor(marked),
    };
  });
  const of = sources.reduce((sum, one) => sum + one.of, 0);
  const points = sources.reduce((sum, one) => sum + one.points, 0);
  return { sources, points: Math.min(of, Math.max(0, points)), of };
}

function markOne(truth: number, said: number | null, [low, high]: readonly [number, number]): Marked {
  const half = (high - low) / 2;
  const room = (size: number): boolean => low <= size && size <= high;
  const named = said !== null && said !== 0;
  if (truth === 0) {
    if (!named) return "right";
    return room(said) ? "excusable" : "false-alarm";
  }
  if (!named) return room(0) ? "beyond-the-data" : "missed";
  if (Math.sign(said) !== Math.sign(truth)) return "wrong-side";
  return Math.abs(said - truth) <= half || room(said) ? "found" : "rough";
}

function pointsFor(marked: Marked): Pick<MarkedSource, "points" | "of"> {
  switch (marked) {
    case "found":
      return { points: POINTS.found, of: POINTS.found };
    case "rough":
      return { points: POINTS.rough, of: POINTS.found };
    case "missed":
    case "not-read":
    case "wrong-side":
      return { points: 0, of: POINTS.found };
    case "false-alarm":
      return { points: POINTS.falseAlarm, of: 0 };
    default:
      return { points: 0, of: 0 };
  }
}

const SHAPE = z.strictObject({
  name: z.unknown().optional(),
  answer: z.array(z.strictObject({ cause: text("cause"), size: z.unknown() })).nullish(),
});

/** The keys of an answer, its example naming a cause that the job has. */
const spelling = (cause: string) =>
  spellingOf(
    {
      name: "Ada",
      answer: `[{ cause: ${cause}, size: -0.1 }]`,
      "answer.cause": cause,
      "answer.size": "-0.1",
    },
    `answer: [{ cause: ${cause}, size: -0.1 }]`,
  );

/** A student's answer, and the name that stands on it. */
export interface Answer {
  readonly name: string;
  readonly faults: readonly Fault[];
}

/**
 * A student's answer. Bare sizes are in degrees for ramps and mm for all else.
 *
 * @throws JobError, with file and line, for a file that is not there or no answer, a cause that the job does not have or that is named twice, or a size that is none.
 */
export function readAnswer(file: string, sources: readonly Source[]): Answer {
  const names = sources.map(({ id }) => sourceText(id));
  const source = YamlSource.read(file, spelling(names[0] ?? "stop of key-end"));
  const taken = source.take([], SHAPE);
  const answer = taken?.answer ?? [];
  const seen = new Set<string>();
  const read = answer.map(({ cause, size }, i): Fault | undefined => {
    const says = (problem: string, rule: string): string =>
      faultSentence({ what: "cause", problem, rule, value: cause });
    const known = sources.find(({ id }) => sourceText(id) === cause)?.id;
    if (known === undefined) {
      const example = `cause: ${nearest(cause, names) ?? names[0]}`;
      source.refuse(["answer", i, "cause"], says(...unknownWord(cause, "cause", names)), { example });
      return undefined;
    }
    if (seen.has(sourceKey(known))) {
      const left = names.find((name) => !answer.some((one) => one.cause === name)) ?? cause;
      source.refuse(["answer", i, "cause"], says("it is named twice", "name each cause once"), {
        example: `cause: ${left}`,
      });
    }
    seen.add(sourceKey(known));
    const what = sourceText(known);
    const amount = orRefuse(
      what,
      size,
      () => (isAngular(known.kind) ? parseAngle(size, { what }) : parseLength(size, { unit: "mm", what })),
      (sentence) => source.refuse(["answer", i, "size"], sentence),
    );
    return amount === undefined ? undefined : { source: known, size: amount };
  });
  source.requireFaultless();
  return { name: String(taken?.name ?? "").trim(), faults: read.filter((fault) => fault !== undefined) };
}
