import type { Jig } from "../../cutting/shop.js";
import type { LengthUnit } from "../../quantity/index.js";
import type { JobSource } from "../file/job-source.js";
import { jigShape } from "../shape/shop-shapes.js";
import { faultSentence } from "../unfit.js";
import { refuseCertainty } from "./refuse-certainty.js";

/** The jigs by name; `null` stands for one that is there and cannot be read. */
export function readJigs(source: JobSource, unit: LengthUnit): Map<string, Jig | null> {
  const shape = jigShape(unit);
  return new Map(
    source.entries(["jigs"], "jigs").map(([name, path]): [string, Jig | null] => {
      const jig = source.take(path, shape);
      if (jig === undefined) return [name, null];
      const { ramp, fence, "trusted-to": trustedTo, shims = null, locked } = jig;
      if (shims === null && !locked)
        source.refuse(
          path,
          faultSentence({
            what: `jig ${name}`,
            problem: "it does not say how its ramp is adjusted",
            rule: "give the shims that turn it, or say that it is locked",
          }),
          { example: "locked: true" },
        );
      refuseCertainty(source, path, trustedTo, locked);
      return [name, { ...{ name, ramp, fence, trustedTo }, shims: locked ? null : shims }];
    }),
  );
}
