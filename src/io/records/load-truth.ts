import { MOST_SEED } from "../../core/numeric/random-stream.js";
import type { Job } from "../../model/job/job.js";
import { jobShop } from "../../model/job/job-cell.js";
import { BATCH_THICKNESS, sourceKey } from "../../model/source-id.js";
import { type Source, shopSources } from "../../model/sources.js";
import { ANGLE_SD_RULE, lengthLimits, MOST_ANGLE_SD } from "../job/limits.js";
import { angle, length, number, text } from "../yaml/fields.js";
import { spellingOf } from "../yaml/job-examples.js";
import { YamlSource } from "../yaml/yaml-source.js";

/** The true errors of an invented shop, for simulated trial cuts. */
export interface Truth {
  /** Seed of the cut-to-cut errors and the readings, an integer ≥ 0. */
  readonly seed: number;
  /** True value of each shared source, in the order of the fit's sources; rad and mm. */
  readonly sources: Float64Array;
}

const EXAMPLES: Readonly<Record<string, string>> = {
  note: "an invented shop",
  seed: "7",
  ramps: "{ point-45: 0.2 deg }",
  "ramps.*": "0.2 deg",
  stops: "{ key-end: 0.05 mm }",
  "stops.*": "0.05 mm",
  leans: "{ bevel-22: 0.2 deg }",
  "leans.*": "0.2 deg",
  thickness: "0.03 mm",
};
/** The groups of a truth file, and what their names refer to. */
const GROUPS = { ramps: "ramp", stops: "stop", leans: "lean" } as const;

/**
 * Loads the true errors of a simulated shop: `seed`, `ramps` by jig, `stops` by set-up, `leans` by jig, `thickness` of the batch. Anything not named has no error.
 *
 * @throws JobError with everything that is wrong in the file
 * @example
 * loadTruth("data/alcove-screen/truth.yaml", job).sources.length // 8
 */
export function loadTruth(file: string, job: Job): Truth {
  const source = YamlSource.read(file, spellingOf(EXAMPLES, "seed: 7"));
  source.requireTopKeys();
  const found = new Map<string, number>();
  const shared = shopSources(jobShop(job));
  const limits = lengthLimits(job);
  for (const [group, kind] of Object.entries(GROUPS))
    for (const [name, path] of source.entries([group], group)) {
      const known = shared.flatMap(({ id }) => (id.kind === kind && id.round === undefined ? [id.of] : []));
      if (!known.includes(name)) {
        const { sentence, example } = strange(kind, name, known);
        source.refuseKey(path, sentence, example);
        continue;
      }
      const shape =
        kind === "stop"
          ? length(name, job.units, "any", limits.stopMove)
          : angle(name, "any", MOST_ANGLE_SD, ANGLE_SD_RULE);
      found.set(sourceKey({ kind, of: name }), source.take(path, shape) ?? 0);
    }
  if (source.at(["note"]) !== undefined) source.take(["note"], text("note"));
  const thick = source.at(["thickness"]);
  const thickness =
    thick === undefined
      ? 0
      : (source.take(["thickness"], length("thickness", job.units, "any", limits.thickness)) ?? 0);
  const whole = (value: number): boolean => Number.isSafeInteger(value) && value >= 0 && value <= MOST_SEED;
  const seed =
    source.take(["seed"], number("seed", whole, `it is a whole number from 0 to ${MOST_SEED}`)) ?? 0;
  source.requireFaultless();
  found.set(sourceKey(BATCH_THICKNESS), thickness);
  const errorOf = ({ id }: Source): number => found.get(sourceKey(id)) ?? 0;
  return { seed, sources: Float64Array.from(shared, errorOf) };
}

/** The message for a name that the job does not have. */
function strange(
  kind: string,
  name: string,
  known: readonly string[],
): { readonly sentence: string; readonly example: string } {
  const none = known.length === 0;
  const there = none ? "there is none: give a jig its lean-trusted-to" : `there are ${known.join(", ")}`;
  return {
    sentence: `There is no ${kind} “${name}” in this job; ${there}.`,
    example: none ? "the line left out" : `${known[0]}: ${kind === "stop" ? "0.05 mm" : "0.2 deg"}`,
  };
}
