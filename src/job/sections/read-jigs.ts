import type { output } from "zod/v4/core";
import type { Jig, Lean } from "../../cutting/shop.js";
import type { LengthUnit } from "../../quantity/index.js";
import type { JobPath, JobSource } from "../file/job-source.js";
import { jigShape } from "../shape/shop-shapes.js";
import { faultSentence } from "../unfit.js";
import { refuseCertainty } from "./refuse-certainty.js";
import { requireDepth } from "./require-depth.js";

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
      const lean = leanFrom(source, path, jig);
      return [
        name,
        { ...{ name, ramp, fence, trustedTo }, shims: locked ? null : shims, ...(lean && { lean }) },
      ];
    }),
  );
}

/** How the ramp leans; `undefined` for one that is square to its bed. */
function leanFrom(
  source: JobSource,
  path: JobPath,
  { lean, "lean-trusted-to": trustedTo, rolled }: output<ReturnType<typeof jigShape>>,
): Lean | undefined {
  for (const [key, value] of Object.entries({ lean, "lean-trusted-to": trustedTo }))
    if (value !== undefined) requireDepth(source, [...path, key]);
  if (lean === undefined && trustedTo === undefined) {
    if (rolled !== undefined)
      source.refuse(
        [...path, "rolled"],
        faultSentence({
          what: "rolled",
          problem: "this jig does not lean",
          rule: "it says which way the second cut leans, so give lean or lean-trusted-to, or leave it out",
        }),
        { example: "lean-trusted-to: 0.1 deg" },
      );
    return undefined;
  }
  return { expected: lean ?? 0, trustedTo: trustedTo ?? 0, rolled: rolled ?? false };
}
