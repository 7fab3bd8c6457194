import { readFileSync } from "node:fs";
import { parse } from "yaml";
import { z } from "zod";
import { shopSources } from "../cutting/sources.js";
import { parseAngle, parseLength } from "../quantity/index.js";
import type { Job } from "./job.js";
import { JobError } from "./job-error.js";

/** The true errors of an invented shop, for simulated trial cuts. */
export interface Truth {
  readonly seed: number;
  /** True value of each shared source, in the order of `shopSources`; rad and mm. */
  readonly sources: Float64Array;
}

const quantity = z.union([z.string(), z.number()]);
const Shape = z.strictObject({
  note: z.string().optional(),
  seed: z.int().nonnegative(),
  ramps: z.record(z.string(), quantity).default({}),
  stops: z.record(z.string(), quantity).default({}),
  leans: z.record(z.string(), quantity).default({}),
  thickness: quantity.default(0),
});

/**
 * Loads the true errors of a simulated shop: `seed`, `ramps` by jig, `stops` by set-up, `leans` by jig, `thickness` of the batch. What is not named is right.
 *
 * @throws JobError
 */
export function loadTruth(file: string, job: Job): Truth {
  const parsed = Shape.safeParse(parse(readFileSync(file, "utf8")));
  if (!parsed.success) {
    throw new JobError(
      parsed.error.issues.map(({ path, message }) => fault(file, path.join("."), message, "seed: 7")),
    );
  }
  const { seed, ramps, stops, leans, thickness } = parsed.data;
  const sources = shopSources(job);
  for (const [kind, named] of [
    ["ramp", ramps],
    ["stop", stops],
    ["lean", leans],
  ] as const) {
    const known = sources.filter((source) => source.kind === kind).map(({ of }) => of);
    const unknown = Object.keys(named).filter((name) => !known.includes(name));
    if (unknown.length > 0) {
      const none = known.length === 0;
      const there = none ? "there is none: give a jig its lean-trusted-to" : `there are ${known.join(", ")}`;
      const sentence = `There is no ${kind} “${unknown[0]}” in this job; ${there}.`;
      const example = none ? "" : `${known[0]}: ${kind === "stop" ? "0.05 mm" : "0.2 deg"}`;
      throw new JobError([fault(file, `${kind}s`, sentence, example)]);
    }
  }
  return {
    seed,
    sources: Float64Array.from(sources, ({ kind, of }) => {
      if (kind === "ramp") return parseAngle(ramps[of] ?? 0, { what: `ramps.${of}` });
      if (kind === "lean") return parseAngle(leans[of] ?? 0, { what: `leans.${of}` });
      if (kind === "stop") return parseLength(stops[of] ?? 0, { unit: job.units, what: `stops.${of}` });
      return kind === "thickness" ? parseLength(thickness, { unit: job.units, what: kind }) : 0;
    }),
  };
}

const fault = (file: string, field: string, sentence: string, example: string) => ({
  ...{ file, line: 1, column: 1, field, sentence, example },
});
