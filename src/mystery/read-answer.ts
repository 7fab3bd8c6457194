import { z } from "zod";
import type { Source } from "../cutting/sources.js";
import { readText } from "../job/file/read-text.js";
import { readYaml } from "../job/file/read-yaml.js";
import { parseAngle, parseLength, QuantityError } from "../quantity/index.js";
import type { Fault } from "./hidden-faults.js";
import { MysteryError } from "./mystery-error.js";

const Shape = z.strictObject({
  answer: z.array(z.strictObject({ cause: z.string(), size: z.union([z.string(), z.number()]) })).nullable(),
});

const EXAMPLE = "- { cause: stop of key-end, size: -0.1 mm }";

/**
 * A student's answer. Bare sizes are in degrees for ramps and mm for all else.
 *
 * @throws MysteryError for an answer that is not one, a cause that the job does not have or that is named twice, or a size that is none.
 * @throws JobError for a file that is not there or no text.
 */
export function readAnswer(file: string, sources: readonly Source[]): Fault[] {
  const parsed = Shape.safeParse(yamlOf(file));
  if (!parsed.success)
    throw new MysteryError(
      `${file}: the answer cannot be read; it is a list of causes with their sizes under “answer:”. Write for example ${EXAMPLE}`,
    );
  const seen = new Set<string>();
  return (parsed.data.answer ?? []).map(({ cause, size }) => {
    const source = sources.find(({ name }) => name === cause.trim());
    if (!source) {
      const names = sources.map(({ name }) => name).join(", ");
      throw new MysteryError(`${file}: there is no cause “${cause}”; there are ${names}.`);
    }
    if (seen.has(source.name)) throw new MysteryError(`${file}: “${cause}” is named twice; name it once.`);
    seen.add(source.name);
    return { source: source.name, size: sizeOf(file, source, size) };
  });
}

/** What the file says; `null` when it is no YAML. Aliases, depth and length are bounded as in a job file. */
function yamlOf(file: string): unknown {
  const { data, faults } = readYaml(readText(file));
  return faults.length > 0 ? null : data;
}

function sizeOf(file: string, { name, angular }: Source, typed: string | number): number {
  try {
    return angular ? parseAngle(typed, { what: name }) : parseLength(typed, { unit: "mm", what: name });
  } catch (error) {
    if (error instanceof QuantityError) throw new MysteryError(`${file}: ${error.message}`);
    throw error;
  }
}
