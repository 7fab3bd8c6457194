import type { Arrangement } from "./arrangement.js";

/**
 * Share of the strip, measured across it, that the other cut takes at an end with a mitre of one of these groups: 0.5 where the tip is on the axis.
 * `undefined` when none of them is a mitre.
 */
export function mitreShare({ pieces, strip }: Arrangement, groups: readonly string[]): number | undefined {
  for (const { cuts } of pieces) {
    const mitre = cuts.find(({ group, role }) => role === "mitre" && groups.includes(group));
    const other = cuts.find(({ end, face }) => end === mitre?.end && face !== mitre?.face);
    if (!mitre || !other) continue;
    // The cuts cross at the tip: x = reach − side·y·tan J for both.
    const slope = mitre.side * Math.tan(mitre.jigAngle) - other.side * Math.tan(other.jigAngle);
    return 0.5 + (mitre.side * (mitre.reach - other.reach)) / slope / strip;
  }
  return undefined;
}
