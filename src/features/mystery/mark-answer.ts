import { z } from "zod";
import { UserError } from "../../core/errors.js";
import { parseAngle, parseLength, QuantityError } from "../../core/quantity/index.js";
import type { SourceEstimate } from "../../inference/estimates/fit-sources.js";
import { readText } from "../../io/files.js";
import { readYaml } from "../../io/yaml/read-yaml.js";
import { isAngular, type SourceId, sameSource, sourceKey } from "../../model/source-id.js";
import type { Source } from "../../model/sources.js";
import { sourceText } from "../../render/source-text.js";
import type { Fault } from "./make-mystery.js";

/**
 * What an answer is worth for one source. `found`: named, on the right side, the size as good as the data allow. `rough`: named, on the right side, the size further off.
 * `wrong-side`, `missed`: a fault taken the wrong way, or not named. `beyond-the-data`: not named, and the readings do not tell it from zero.
 * `right`: rightly not named. `excusable`: named although it is right, and the readings leave room for it. `false-alarm`: named although the readings rule it out.
 */
export type Marked =
  | "found"
  | "rough"
  | "wrong-side"
  | "missed"
  | "beyond-the-data"
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
 * A size counts as good within the interval's half-width of the truth, or within the interval; no one could do better from these readings.
 */
export function markAnswer(
  estimates: readonly SourceEstimate[],
  truth: readonly Fault[],
  answer: readonly Fault[],
): Marking {
  const sizeIn = (list: readonly Fault[], id: SourceId): number | null =>
    list.find(({ source }) => sameSource(source, id))?.size ?? null;
  const sources = estimates.map((source): MarkedSource => {
    const { id, estimate, interval } = source;
    const really = sizeIn(truth, id) ?? 0;
    const said = sizeIn(answer, id);
    const marked = markOne(really, said, interval);
    return {
      ...{ source: id, truth: really, answer: said, estimate, interval, marked },
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
    case "wrong-side":
      return { points: 0, of: POINTS.found };
    case "false-alarm":
      return { points: POINTS.falseAlarm, of: 0 };
    default:
      return { points: 0, of: 0 };
  }
}

const Shape = z.strictObject({
  answer: z.array(z.strictObject({ cause: z.string(), size: z.union([z.string(), z.number()]) })).nullable(),
});

const EXAMPLE = "- { cause: stop of key-end, size: -0.1 mm }";

/**
 * A student's answer. Bare sizes are in degrees for ramps and mm for all else.
 *
 * @throws UserError (code "mystery") for an answer that is not one, a cause that the job does not have or that is named twice, or a size that is none.
 * @throws JobError for a file that is not there or no text.
 */
export function readAnswer(file: string, sources: readonly Source[]): Fault[] {
  const parsed = Shape.safeParse(yamlOf(file));
  if (!parsed.success)
    throw new UserError(
      "mystery",
      `${file}: the answer cannot be read; it is a list of causes with their sizes under “answer:”. Write for example ${EXAMPLE}`,
    );
  const seen = new Set<string>();
  return (parsed.data.answer ?? []).map(({ cause, size }) => {
    const source = sources.find(({ id }) => sourceText(id) === cause.trim())?.id;
    if (!source) {
      const names = sources.map(({ id }) => sourceText(id)).join(", ");
      throw new UserError("mystery", `${file}: there is no cause “${cause}”; there are ${names}.`);
    }
    if (seen.has(sourceKey(source)))
      throw new UserError("mystery", `${file}: “${cause}” is named twice; name it once.`);
    seen.add(sourceKey(source));
    return { source, size: sizeOf(file, source, size) };
  });
}

/** What the file says; `null` when it is no YAML. Aliases, depth and length are bounded as in a job file. */
function yamlOf(file: string): unknown {
  const { data, faults } = readYaml(readText(file));
  return faults.length > 0 ? null : data;
}

function sizeOf(file: string, source: SourceId, typed: string | number): number {
  const what = sourceText(source);
  try {
    return isAngular(source.kind) ? parseAngle(typed, { what }) : parseLength(typed, { unit: "mm", what });
  } catch (error) {
    if (error instanceof QuantityError) throw new UserError("mystery", `${file}: ${error.message}`);
    throw error;
  }
}
