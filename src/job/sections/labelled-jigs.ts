import type { Jig, SetUp } from "../../cutting/shop.js";
import type { Arrangement } from "../../lattice/arrangement.js";
import { SAME_LABEL } from "./require-groups.js";

/** Ramps that differ from the cut's angle by less than this are taken as they are, rad. */
const SAME_ANGLE = 1e-9;

/** The jigs with the angle that their label stands for: `36.87 deg` in a pattern whose cut is at 36.8699°. */
export function labelledJigs(
  jigs: ReadonlyMap<string, Jig | null>,
  setUps: readonly SetUp[],
  { pieces }: Arrangement,
): Map<string, Jig | null> {
  const cuts = pieces.flatMap((piece) => piece.cuts);
  return new Map(
    [...jigs].map(([name, jig]): [string, Jig | null] => {
      const groups = setUps.filter((setUp) => setUp.jig === name).flatMap((setUp) => setUp.cuts);
      const angle = cuts.find(({ group }) => groups.includes(group))?.jigAngle;
      if (jig === null || angle === undefined) return [name, jig];
      const off = Math.abs(jig.ramp - angle);
      return [name, off > SAME_ANGLE && off <= SAME_LABEL ? { ...jig, ramp: angle } : jig];
    }),
  );
}
