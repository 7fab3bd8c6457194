import type { Jig } from "../../cutting/shop.js";
import type { Arrangement } from "../../lattice/arrangement.js";
import { degreesText } from "../degrees-text.js";
import type { JobPath, JobSource } from "../file/job-source.js";
import { faultSentence } from "../unfit.js";
import { listed, nearest, unknownWord } from "../words.js";

/** A jig has the angle of a cut when they agree to this, rad: a label says hundredths of a degree, and an angle that follows from the sides has more digits. */
export const SAME_LABEL = (0.006 * Math.PI) / 180;

type Jigs = ReadonlyMap<string, Jig | null>;

interface Around {
  readonly source: JobSource;
  /** Of the set-up. */
  readonly path: JobPath;
  readonly arrangement: Arrangement;
  readonly jigs: Jigs;
  /** Groups of cuts that a set-up makes already, with its name. */
  readonly madeAt: ReadonlyMap<string, string>;
}

interface Named {
  readonly name: string;
  readonly jig: Jig | null;
  readonly group: string;
  /** In the list of cuts. */
  readonly place: number;
}

/** Jig angle of every group of cuts, rad. */
const groupAngles = ({ pieces }: Arrangement): Map<string, number> =>
  new Map(pieces.flatMap(({ cuts }) => cuts.map(({ group, jigAngle }) => [group, jigAngle])));

/** Notes a group that is made elsewhere too, or that the jig is not for. `false` after noting one that the pattern does not have. */
export function requireGroup(
  { source, path, arrangement, jigs, madeAt }: Around,
  { name, jig, group, place }: Named,
): boolean {
  const angles = groupAngles(arrangement);
  const at = [...path, "cuts", place];
  const wanted = angles.get(group);
  const other = madeAt.get(group);
  const left = [...angles.keys()].filter((known) => !madeAt.has(known));
  if (wanted === undefined) {
    const known = [...angles.keys()];
    const [problem, rule] = unknownWord(group, `group of cuts in ${arrangement.name}`, known);
    const example = `cuts: [${nearest(group, known) ?? left[0] ?? known[0]}]`;
    source.refuse(at, faultSentence({ what: "cuts", problem, rule, value: group }), { example });
    return false;
  }
  if (other !== undefined) {
    const problem = `${group} is made at ${other === name ? "this set-up" : other} already`;
    const rule = "each group of cuts is made at one set-up";
    source.refuse(at, faultSentence({ what: `set-up ${name}`, problem, rule }), {
      example: `cuts: [${left[0] ?? group}]`,
    });
  } else if (jig !== null && Math.abs(jig.ramp - wanted) > SAME_LABEL) {
    const problem = `its jig ${jig.name} has a ramp of ${degreesText(jig.ramp)} and ${group} is cut at ${degreesText(wanted)}`;
    const rule = "the ramp must have the angle of the cut, counted from a square cut";
    source.refuse([...path, "jig"], faultSentence({ what: `set-up ${name}`, problem, rule }), {
      example: `jig: ${jigFor(wanted, jigs)}`,
    });
  }
  return true;
}

/** Notes the groups of cuts that no set-up makes: left out, they would pass for perfect. */
export function requireEveryGroup(
  source: JobSource,
  arrangement: Arrangement,
  jigs: Jigs,
  madeAt: ReadonlyMap<string, string>,
): void {
  const missing = [...groupAngles(arrangement)].filter(([group]) => !madeAt.has(group));
  const [first] = missing;
  if (first === undefined) return;
  const [group, angle] = first;
  const groups = missing.map(([name]) => name);
  source.refuseKey(
    ["set-ups"],
    faultSentence({
      what: "set-ups",
      problem: `none makes ${listed(groups, "or")}`,
      rule: "every group of cuts in the pattern is made at one set-up",
    }),
    `${group.replace(".", "-")}: { jig: ${jigFor(angle, jigs)}, cuts: [${group}] }`,
  );
}

/** A jig of the job for an angle, or a name for one that is yet to be made. */
function jigFor(angle: number, jigs: Jigs): string {
  const fit = [...jigs.values()].find((jig) => jig !== null && Math.abs(jig.ramp - angle) <= SAME_LABEL);
  return fit?.name ?? `the name of a jig with ramp: ${degreesText(angle)}`;
}
