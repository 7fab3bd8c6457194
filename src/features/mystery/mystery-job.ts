import { createHash } from "node:crypto";
import { UserError } from "../../core/errors.js";
import { at, present } from "../../core/numeric/dense.js";
import { createStream } from "../../core/numeric/random-stream.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import { arrangePattern } from "../../io/patterns/arrange-pattern.js";
import { shippedPattern, shippedPatterns } from "../../io/patterns/find-pattern.js";
import { patternShop } from "../../io/patterns/pattern-shop.js";

/** How an invented shop is written in the units it works in; numbers without a unit are in the job's units. */
interface ShopSizes {
  /** Opening and strip of the cells that a mystery may have, mm and as they are written. */
  readonly cells: readonly {
    readonly opening: number;
    readonly strip: number;
    readonly written: readonly [string, string];
  }[];
  /** How far stops and the batch's thickness are trusted, and what a hidden error of theirs is rounded to, in `unit`. */
  readonly stop: number;
  readonly thickness: number;
  readonly step: number;
  /** Of these lengths: its size in mm, and its name. */
  readonly unit: { readonly mm: number; readonly name: string };
  readonly shims: string;
  readonly stopStep: string;
  readonly caliper: string;
  readonly strips: string;
  readonly scatter: string;
  readonly gridOffset: string;
  readonly limits: string;
}

const SHOP: Readonly<Record<LengthUnit, ShopSizes>> = {
  mm: {
    cells: [
      [50, 3],
      [55, 3],
      [60, 3],
      [60, 4],
      [72, 4],
    ].map(([opening = 0, strip = 0]) => ({ opening, strip, written: [String(opening), String(strip)] })),
    stop: 0.15,
    thickness: 0.05,
    step: 0.01,
    unit: { mm: 1, name: "mm" },
    shims: "{ base: 80, leaves: [0.1, 0.2, 0.3, 0.5, 0.8] }",
    stopStep: "0.05 mm",
    caliper: "resolution: 0.01, repeatability: 0.015",
    strips: "repeatability: 0.004, leaves: [0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1, 0.12, 0.15, 0.2, 0.3]",
    scatter: "length: 0.015, thickness: 0.01",
    gridOffset: "0.01",
    limits: "{ gap: 0.1, snug: 0.03 }",
  },
  in: {
    cells: [
      ["2 in", 2, "1/8 in", 1 / 8],
      ["2 1/8 in", 2 + 1 / 8, "1/8 in", 1 / 8],
      ["2 3/8 in", 2 + 3 / 8, "1/8 in", 1 / 8],
      ["2 3/8 in", 2 + 3 / 8, "5/32 in", 5 / 32],
      ["2 7/8 in", 2 + 7 / 8, "5/32 in", 5 / 32],
    ].map(([opening, wide, strip, thick]) => ({
      opening: 25.4 * Number(wide),
      strip: 25.4 * Number(thick),
      written: [String(opening), String(strip)],
    })),
    stop: 6,
    thickness: 2,
    step: 0.5,
    unit: { mm: 0.0254, name: "thou" },
    shims: "{ base: 3 1/4 in, leaves: [4 thou, 8 thou, 12 thou, 20 thou, 32 thou] }",
    stopStep: "2 thou",
    caliper: "resolution: 0.5 thou, repeatability: 0.6 thou",
    strips:
      "repeatability: 0.2 thou, leaves: [0.8 thou, 1.2 thou, 1.6 thou, 2 thou, 2.5 thou, 3 thou, 4 thou, 5 thou, 6 thou, 8 thou, 12 thou]",
    scatter: "length: 0.6 thou, thickness: 0.4 thou",
    gridOffset: "0.4 thou",
    limits: "{ gap: 4 thou, snug: 1.2 thou }",
  },
};

/** How far the ramps of a mystery's job are trusted, degrees. */
export const RAMP_TRUST = 0.5;

/** How the shop of a mystery is written. */
export const shopSizes = ({ units = "mm" }: MysteryKey): ShopSizes => SHOP[units];

/** Sub-streams of a mystery's seed. */
const STREAMS = { cell: 0, faults: 1, trials: 2 } as const;

/** The sub-stream of a mystery's seed from which something is drawn; the cell is that of every draw. */
export const mysteryStream = ({ draw = 0 }: MysteryKey, of: keyof typeof STREAMS): number =>
  of === "cell" ? STREAMS.cell : STREAMS[of] + 2 * draw;

/** The sizes of a mystery's cell, mm, and the fence of its bevels. */
function drawnCell(key: MysteryKey) {
  const stream = createStream(key.seed, mysteryStream(key, "cell"));
  const { cells } = shopSizes(key);
  const cell = at(cells, stream.integer(cells.length));
  const fence = stream.uniform() < 0.5 ? "centred" : "long-side";
  return { ...cell, fence };
}

/** The jigs and stops of a mystery's shop by name, and what they cut. */
export function mysteryShop(key: MysteryKey) {
  const { opening, strip } = drawnCell(key);
  const pattern = shippedPattern(key.pattern ?? at(shippedPatterns(), 0));
  const shop = patternShop(present(arrangePattern(pattern, { opening, strip }).arrangement));
  return {
    ...shop,
    ramps: shop.jigs.map(({ name }) => name),
    stops: shop.setUps.filter(({ stopped }) => stopped).map(({ name }) => name),
  };
}

/** The job file of a mystery: an invented shop whose jigs nobody has checked. */
export function mysteryJobText(key: MysteryKey): string {
  const { seed, faults, units = "mm", pattern = at(shippedPatterns(), 0) } = key;
  const { written, fence } = drawnCell(key);
  const { jigs, setUps } = mysteryShop(key);
  const sizes = shopSizes(key);
  const trusted = (length: number): string => `trusted-to: ${length} ${sizes.unit.name}`;
  return `# An invented shop. ${wrongText(faults)} with its jigs, stops or stock; all else is right, but for the scatter from cut to cut.
# ${tableText(key)} Find out what is wrong and by how much, write it into answer.yaml, then
#   sukima mystery --mark THIS-FOLDER --answer THIS-FOLDER/answer.yaml
title: Mystery ${seed} (invented)
units: ${units}
pattern: ${pattern}
opening: ${written[0]}
strip: ${written[1]}

jigs:
${jigs
  .map(({ name, ramp: label, makes }) => {
    const bears = makes === "bevel" ? fence : "centred";
    return `  ${name}: { ramp: ${label}, fence: ${bears}, trusted-to: ${RAMP_TRUST} deg, shims: ${sizes.shims} }`;
  })
  .join("\n")}

set-ups:
${setUps
  .map(({ name, jig, group, stopped }) => {
    const at = stopped ? `, stop: { ${trusted(sizes.stop)}, step: ${sizes.stopStep} }` : "";
    return `  ${name}: { jig: ${jig}, cuts: [${group}]${at} }`;
  })
  .join("\n")}

instruments:
${instrumentLines(key).join("\n")}

scatter: { angle: 0.06 deg, ${sizes.scatter} }
thickness: { ${trusted(sizes.thickness)} }
grid: { offset: ${sizes.gridOffset}, turn: 0.01 deg }
limits: ${sizes.limits}
`;
}

/** How many things are wrong, as a sentence without its end. */
export const wrongText = (faults: number): string =>
  faults === 1 ? "One thing is wrong" : `${faults} things are wrong`;

const tableText = ({ level }: MysteryKey): string =>
  level === "budget"
    ? "menu.csv lists what can be read and what each reading costs; trials.csv has what you have bought."
    : "trials.csv has what was read of its trial cuts.";

function instrumentLines(key: MysteryKey): string[] {
  const { caliper, strips } = shopSizes(key);
  const rulers = [
    "  angle-gauge: { reads: angle, resolution: 0.1 deg, repeatability: 0.08 deg }",
    `  caliper: { reads: [length, thickness], ${caliper} }`,
  ];
  const leaves = [`  shim-strips: { reads: gap, reach: [toe, heel, widest], ${strips} }`];
  if (key.level === "rulers") return rulers;
  return key.level === "feeler" || key.level === "cell" ? leaves : [...rulers, ...leaves];
}

/**
 * What a mystery lets be read. `rulers`: angles, lengths and thicknesses, so that two rulers solve it. `feeler`: gaps on benches and of a cell, nothing else. `cell`: the gaps of whole cells
 * alone. `budget`: everything, reading by reading, for so many points.
 */
export type MysteryLevel = "rulers" | "feeler" | "cell" | "budget";

/** Every level, from the easiest on. */
export const MYSTERY_LEVELS: readonly MysteryLevel[] = ["rulers", "feeler", "cell", "budget"];

/** What a mystery is made from: all that is wrong in it follows. */
export interface MysteryKey {
  /** Whole, 0 … 2⁵³ − 1. */
  readonly seed: number;
  /** How many things are wrong. */
  readonly faults: number;
  /** The pattern of its cells; default the square asanoha. The code does not hold it: it stands in the mystery's job. */
  readonly pattern?: string;
  /** The units of the shop, default mm; another shop with other faults. The job holds them. */
  readonly units?: LengthUnit;
  /** Without one everything is read, and what is wrong need not show in the readings. */
  readonly level?: MysteryLevel;
  /** Which draw of the faults it is, a whole number from 0 to 9: with a level, the first whose faults all show in its readings. Default 0. */
  readonly draw?: number;
}

/** Most draws of the faults that are tried. */
export const MOST_DRAWS = 10;

/** An odd number and its inverse modulo 2⁶⁴: multiplying stirs a seed, multiplying back stills it. */
const STIR = 0x9e3779b97f4a7c15n;
const STILL = 0xf1de83e19937733dn;
const MASK = (1n << 64n) - 1n;
const FAULT_DIGITS = 10n;
const DRAW_DIGITS = 10n;
const CHECK_DIGITS = 4;

/**
 * A mystery's key as a short word. It keeps the key from being read at a glance and a mistyped word from being taken for another;
 * it is no secret: whoever runs this code can undo it.
 */
export function mysteryCode({ seed, faults, level, draw = 0 }: MysteryKey): string {
  const key = BigInt(seed) * FAULT_DIGITS + BigInt(faults);
  const stirred = ((level === undefined ? key : key * DRAW_DIGITS + BigInt(draw)) * STIR) & MASK;
  const word = stirred.toString(36);
  const begin = level === undefined ? "" : `${level}-`;
  return `${begin}${word}-${checkOf(begin + word)}`;
}

/** @throws UserError (code "mystery") for a word that is not such a code. */
export function readMysteryCode(code: string): MysteryKey {
  const [, begin = "", word, check] =
    code.trim().match(/^((?:rulers|feeler|cell|budget)-)?([0-9a-z]{1,13})-([0-9a-f]{4})$/) ?? [];
  if (word === undefined || checkOf(begin + word) !== check)
    throw new UserError(
      "mystery",
      `“${code}” is not a mystery's code: a letter or digit is wrong or missing; it is the first line of the mystery.txt that sukima mystery wrote.`,
    );
  let stirred = 0n;
  for (const digit of word) stirred = stirred * 36n + BigInt(Number.parseInt(digit, 36));
  const key = (stirred * STILL) & MASK;
  const level = MYSTERY_LEVELS.find((one) => begin === `${one}-`);
  if (level === undefined) return { seed: Number(key / FAULT_DIGITS), faults: Number(key % FAULT_DIGITS) };
  const rest = key / DRAW_DIGITS;
  const [seed, faults] = [Number(rest / FAULT_DIGITS), Number(rest % FAULT_DIGITS)];
  return { seed, faults, level, draw: Number(key % DRAW_DIGITS) };
}

const checkOf = (word: string): string =>
  createHash("sha256").update(`mystery ${word}`).digest("hex").slice(0, CHECK_DIGITS);
