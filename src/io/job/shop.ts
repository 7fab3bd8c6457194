import { z } from "zod";
import type { output } from "zod/v4/core";
import { DEGREE } from "../../core/geometry.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import { listed } from "../../core/text.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { LARGEST_ANGLE_ERROR } from "../../model/cell/cell-errors.js";
import { JOB_DEFAULTS } from "../../model/job/job.js";
import { FENCES, type Jig, type Lean, type SetUp, type ShimSet, type Stop } from "../../model/shop.js";
import { degreesText, faultSentence, nearest, unknownWord } from "../faults.js";
import { angle, flag, length, list, risingLengths, text, word } from "../yaml/fields.js";
import type { KeyPath, YamlSource } from "../yaml/yaml-source.js";
import { ANGLE_SD_RULE, type CellSize, lengthLimits, MOST_ANGLE_SD } from "./limits.js";

/** The jigs by name; `null` for one that exists but cannot be read. */
export function readJigs(source: YamlSource, unit: LengthUnit, size: CellSize): Map<string, Jig | null> {
  const shape = jigShape(unit, size);
  return new Map(
    source.entries(["jigs"], "jigs").map(([name, path]): [string, Jig | null] => {
      const jig = source.take(path, shape);
      if (jig === undefined) return [name, null];
      const { ramp, fence, "trusted-to": priorSd, shims = null, locked } = jig;
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
      refuseCertainty(source, path, priorSd, locked);
      if (shims !== null) refuseLongShim(source, path, shims);
      const lean = leanFrom(source, path, jig);
      return [name, { name, ramp, fence, priorSd, shims: locked ? null : shims, ...(lean && { lean }) }];
    }),
  );
}

/** A leaf thicker than this share of the base turns a ramp by more than 11°, further than any ramp can be off. */
const MOST_SHIM_SHARE = 0.2;

/** Leaves are also stacked, so that their stacks grow with a power of their number. */
const MOST_LEAVES = 40;

function refuseLongShim(source: YamlSource, path: KeyPath, { base, leaves }: ShimSet): void {
  if (leaves.length > MOST_LEAVES) {
    const rule = `at most ${MOST_LEAVES} are weighed, alone and together`;
    source.refuse(
      [...path, "shims", "leaves"],
      faultSentence({ what: "leaves", problem: "there are too many", rule }),
    );
  }
  const thickest = Math.max(...leaves);
  if (thickest <= MOST_SHIM_SHARE * base) return;
  const problem = "its leaves are too thick for its base, or the base is too short";
  const rule = `base is the length of the ramp from the edge it turns about to the shim, at least ${1 / MOST_SHIM_SHARE} times the thickest leaf`;
  source.refuse([...path, "shims", "base"], faultSentence({ what: "shims", problem, rule }));
}

/** The lean of a ramp; `undefined` for one that is square to its bed. */
function leanFrom(
  source: YamlSource,
  path: KeyPath,
  { lean, "lean-trusted-to": priorSd, rolled }: output<ReturnType<typeof jigShape>>,
): Lean | undefined {
  for (const [key, value] of Object.entries({ lean, "lean-trusted-to": priorSd }))
    if (value !== undefined) requireDepth(source, [...path, key]);
  if (lean === undefined && priorSd === undefined) {
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
  return { priorMean: lean ?? 0, priorSd: priorSd ?? 0, rolled: rolled ?? false };
}

/** The set-ups. Each names an existing jig with the angle of its cuts, and every group of cuts is made at one set-up. */
export function readSetUps(
  source: YamlSource,
  shape: ReturnType<typeof setUpShape>,
  jigs: ReadonlyMap<string, Jig | null>,
  arrangement: Arrangement,
): SetUp[] {
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
  // A group with an unknown name may be the missing one, misspelt.
  if (known && entries.length > 0 && setUps.length === entries.length)
    requireEveryGroup(source, arrangement, jigs, madeAt);
  return setUps;
}

function stopFrom(
  source: YamlSource,
  path: KeyPath,
  name: string,
  stop: { "trusted-to": number; step?: number | undefined; locked: boolean } | undefined,
): Stop | null {
  if (stop === undefined) return null;
  const { "trusted-to": priorSd, step = null, locked } = stop;
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
  refuseCertainty(source, at, priorSd, locked);
  if (step !== null && !locked && priorSd > MOST_STEPS * step) refuseFineStep(source, at, name);
  return { priorSd, step: locked ? null : step };
}

/** Maximum number of steps within a stop's prior standard deviation; every setting within four times as much is evaluated. */
const MOST_STEPS = 500;

function refuseFineStep(source: YamlSource, path: KeyPath, name: string): void {
  const problem = "its step is too fine for what it is trusted to";
  const rule = `step is the smallest move that can be made on purpose, and at most ${MOST_STEPS} of them make up trusted-to`;
  const value = source.at([...path, "step"]);
  source.refuse([...path, "step"], faultSentence({ what: `stop of ${name}`, problem, rule, value }));
}

function refuseJig(source: YamlSource, path: KeyPath, typed: string, known: readonly string[]): void {
  const [problem, rule] = unknownWord(typed, "jig in this job", known);
  const offered = nearest(typed, known) ?? known[0];
  const example = offered === undefined ? {} : { example: `jig: ${offered}` };
  source.refuse([...path, "jig"], faultSentence({ what: "jig", problem, rule, value: typed }), example);
}

/** `trusted-to: 0` is allowed only for something locked, because what is known exactly needs no adjusting. */
function refuseCertainty(source: YamlSource, path: KeyPath, priorSd: number, locked: boolean): void {
  if (priorSd > 0 || locked) return;
  source.refuse(
    [...path, "trusted-to"],
    faultSentence({
      what: "trusted-to",
      problem: "it is zero, which says that nothing is left to find out",
      rule: "it must be more than zero, unless the same group says locked: true",
      value: source.at([...path, "trusted-to"]),
    }),
  );
}

/** Notes a lean in a job that does not give the depth of its strips. */
export function requireDepth(source: YamlSource, path: KeyPath): void {
  if (source.at(["depth"]) !== undefined) return;
  source.refuse(
    path,
    faultSentence({
      what: String(path.at(-1)),
      problem: "the job does not say how deep the strips are",
      rule: "a face that leans moves by the lean times the depth, so give depth beside strip, or leave the lean out",
    }),
    { example: "depth: 12 mm" },
  );
}

/** Tolerance within which a jig has the angle of a cut, rad: a label gives hundredths of a degree, while an angle computed from the sides has more digits. */
export const SAME_LABEL = 0.006 * DEGREE;

type Jigs = ReadonlyMap<string, Jig | null>;

interface Around {
  readonly source: YamlSource;
  /** Of the set-up. */
  readonly path: KeyPath;
  readonly arrangement: Arrangement;
  readonly jigs: Jigs;
  /** Groups of cuts already made at a set-up, with the set-up's name. */
  readonly madeAt: ReadonlyMap<string, string>;
}

interface Named {
  readonly name: string;
  readonly jig: Jig | null;
  readonly group: string;
  /** Index in the list of cuts. */
  readonly place: number;
}

/** Jig angle of every group of cuts, rad. */
const groupAngles = ({ pieces }: Arrangement): Map<string, number> =>
  new Map(pieces.flatMap(({ cuts }) => cuts.map(({ group, jigAngle }) => [group, jigAngle])));

/** Notes a group that is also made at another set-up, or for which the jig has the wrong angle. Returns `false` after noting one that the pattern does not have. */
function requireGroup(
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

/** Notes the groups of cuts that no set-up makes: without a fault, they would be assumed to be perfect. */
function requireEveryGroup(
  source: YamlSource,
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

/** A jig of the job for an angle, or a description of one that the job needs. */
function jigFor(angle: number, jigs: Jigs): string {
  const fit = [...jigs.values()].find((jig) => jig !== null && Math.abs(jig.ramp - angle) <= SAME_LABEL);
  return fit?.name ?? `(one whose ramp is ${degreesText(angle)})`;
}

const SQUARE = Math.PI / 2;
const LEAN_LIMIT = "a ramp leans by at most 10° either way, so give how far it is out of square to its bed";

export const jigShape = (unit: LengthUnit, size: CellSize) =>
  z.strictObject({
    ramp: angle("ramp", "positive", SQUARE, "a jig's angle is counted from a square cut and stays below 90°"),
    fence: word("fence", "place for a fence", FENCES).default("centred"),
    "trusted-to": angle("trusted-to", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE).default(
      JOB_DEFAULTS.rampTrustedTo,
    ),
    shims: z
      .strictObject({
        base: length("base of the shims", unit, "positive", lengthLimits(size).shimBase),
        leaves: risingLengths("leaves", unit, lengthLimits(size).shim),
      })
      .optional(),
    locked: flag("locked").default(false),
    lean: angle("lean", "any", LARGEST_ANGLE_ERROR + 1e-12, LEAN_LIMIT).optional(),
    "lean-trusted-to": angle(
      "lean-trusted-to",
      "non-negative",
      LARGEST_ANGLE_ERROR + 1e-12,
      LEAN_LIMIT,
    ).optional(),
    rolled: flag("rolled").optional(),
  });

export const setUpShape = (unit: LengthUnit, size: CellSize) =>
  z.strictObject({
    jig: text("jig"),
    cuts: list(text("cuts")),
    stop: z
      .strictObject({
        "trusted-to": length("trusted-to", unit, "non-negative", lengthLimits(size).stop).default(
          JOB_DEFAULTS.stopTrustedTo,
        ),
        step: length("step", unit, "positive", lengthLimits(size).step).optional(),
        locked: flag("locked").default(false),
      })
      .optional(),
  });
