import { z } from "zod";
import { shopSources } from "../cutting/sources.js";
import { parseAngle, parseLength } from "../quantity/index.js";
import { readText } from "./file/read-text.js";
import { readYaml } from "./file/read-yaml.js";
import type { Job } from "./job.js";
import { JobError, type JobFault } from "./job-error.js";
import { orRefuse } from "./unfit.js";

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
  const parsed = Shape.safeParse(yamlOf(file));
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
  const faults: JobFault[] = [];
  const amount = (what: string, value: string | number, angular: boolean): number =>
    orRefuse(
      what,
      value,
      () => (angular ? parseAngle(value, { what }) : parseLength(value, { unit: job.units, what })),
      (sentence) => faults.push(fault(file, what, sentence, angular ? "0.2 deg" : "0.05 mm")),
    ) ?? 0;
  const found = Float64Array.from(sources, ({ kind, of }) => {
    if (kind === "ramp") return amount(`ramps.${of}`, ramps[of] ?? 0, true);
    if (kind === "lean") return amount(`leans.${of}`, leans[of] ?? 0, true);
    if (kind === "stop") return amount(`stops.${of}`, stops[of] ?? 0, false);
    return kind === "thickness" ? amount(kind, thickness, false) : 0;
  });
  if (faults.length > 0) throw new JobError(faults);
  return { seed, sources: found };
}

/** @throws JobError for what YAML does not allow, at its place */
function yamlOf(file: string): unknown {
  const { data, faults, lines } = readYaml(readText(file));
  if (faults.length === 0) return data;
  throw new JobError(
    faults.map(({ offset, ...said }) => {
      const { line, col } = lines.linePos(offset);
      return { file, field: "", line: Math.max(line, 1), column: Math.max(col, 1), ...said };
    }),
  );
}

const fault = (file: string, field: string, sentence: string, example: string) => ({
  ...{ file, line: 1, column: 1, field, sentence, example },
});
