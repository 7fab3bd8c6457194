import type { Jig, SetUp, Stop } from "../../cutting/shop.js";
import type { Arrangement } from "../../lattice/arrangement.js";
import type { LengthUnit } from "../../quantity/index.js";
import type { JobPath, JobSource } from "../file/job-source.js";
import { setUpShape } from "../shape/shop-shapes.js";
import { faultSentence } from "../unfit.js";
import { nearest, unknownWord } from "../words.js";
import { refuseCertainty } from "./refuse-certainty.js";
import { requireEveryGroup, requireGroup } from "./require-groups.js";

/** The set-ups, each with a jig that is there and has the angle of its cuts; every group of cuts is made at one. */
export function readSetUps(
  source: JobSource,
  unit: LengthUnit,
  jigs: ReadonlyMap<string, Jig | null>,
  arrangement: Arrangement,
): SetUp[] {
  const shape = setUpShape(unit);
  const entries = source.entries(["set-ups"], "set-ups");
  const madeAt = new Map<string, string>();
  let known = true;
  const setUps = entries.flatMap(([name, path]): SetUp[] => {
    const read = source.take(path, shape);
    if (read === undefined) return [];
    const jig = jigs.get(read.jig);
    if (jig === undefined) refuseJig(source, path, read.jig, [...jigs.keys()]);
    for (const [i, group] of read.cuts.entries()) {
      known =
        requireGroup(
          { source, path, arrangement, jigs, madeAt },
          { name, jig: jig ?? null, group, place: i },
        ) && known;
      if (!madeAt.has(group)) madeAt.set(group, name);
    }
    return [{ name, jig: read.jig, cuts: read.cuts, stop: stopFrom(source, path, name, read.stop) }];
  });
  // A group whose name is not known may be the one that is missing.
  if (known && entries.length > 0 && setUps.length === entries.length)
    requireEveryGroup(source, arrangement, jigs, madeAt);
  return setUps;
}

function stopFrom(
  source: JobSource,
  path: JobPath,
  name: string,
  stop: { "trusted-to": number; step?: number | undefined; locked: boolean } | undefined,
): Stop | null {
  if (stop === undefined) return null;
  const { "trusted-to": trustedTo, step = null, locked } = stop;
  const at = [...path, "stop"];
  if (step === null && !locked)
    source.refuse(
      at,
      faultSentence({
        what: `stop of ${name}`,
        problem: "it does not say how it is adjusted",
        rule: "give the smallest step that it can be moved by, or say that it is locked",
      }),
      { example: "step: 0.05 mm" },
    );
  refuseCertainty(source, at, trustedTo, locked);
  return { trustedTo, step: locked ? null : step };
}

function refuseJig(source: JobSource, path: JobPath, typed: string, known: readonly string[]): void {
  const [problem, rule] = unknownWord(typed, "jig in this job", known);
  const offered = nearest(typed, known) ?? known[0];
  const example = offered === undefined ? {} : { example: `jig: ${offered}` };
  source.refuse([...path, "jig"], faultSentence({ what: "jig", problem, rule, value: typed }), example);
}
