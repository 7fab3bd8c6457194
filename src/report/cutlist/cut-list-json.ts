import type { CutList } from "../../cutlist/cut-list.js";
import { setUpsFor } from "../../cutlist/set-up-lines.js";

/** A cut list as plain data for other programs: lengths in mm, angles in degrees. */
export function cutListJson({
  job,
  stock,
  cells,
  halves,
  lines,
  sure,
  setUps,
  recuts,
  packed,
  laps,
}: CutList): object {
  return {
    ...{ cells, halves, stock, sure, lines, laps },
    setUps: setUps.map(({ ramp, ...line }) => ({ ...line, rampDegrees: (ramp * 180) / Math.PI })),
    packed: packed.map(({ packed: plan, ...rest }) => ({ ...rest, ...plan })),
    recuts: recuts.map((one) => ({ ...one, setUps: setUpsFor(job, one.anew) })),
  };
}
