import { z } from "zod";
import type { JobSource } from "../file/job-source.js";
import { keysKnown } from "../shape/job-examples.js";

/** Notes the keys at the top of the file that no job has. Nothing else can be read when the file is not a group of keys. */
export function requireKeys(source: JobSource): void {
  const anything = z.unknown().optional();
  const shape = z.strictObject(Object.fromEntries(keysKnown([]).map((key) => [key, anything])));
  const top = source.at([]);
  source.take([], shape);
  if (typeof top !== "object" || top === null || Array.isArray(top)) source.requireFaultless();
}
