import { createHash } from "node:crypto";
import { UserError } from "../../core/errors.js";
import { at, present } from "../../core/numeric/dense.js";
import { createStream } from "../../core/numeric/random-stream.js";
import { arrangePattern } from "../../io/patterns/arrange-pattern.js";
import { shippedPattern, shippedPatterns } from "../../io/patterns/find-pattern.js";
import { patternShop } from "../../io/patterns/pattern-shop.js";

/** Sizes of the cells that a mystery may have, mm: opening and strip. */
const CELLS = [
  [50, 3],
  [55, 3],
  [60, 3],
  [60, 4],
  [72, 4],
] as const;

/** How far each kind is trusted in the mystery's job, in degrees and mm. */
export const MYSTERY_TRUST = { ramp: 0.5, stop: 0.15, thickness: 0.05 } as const;

/** Sub-streams of a mystery's seed. */
export const MYSTERY_STREAMS = { cell: 0, faults: 1, trials: 2 } as const;

/** The sizes of a mystery's cell, mm, and the fence of its bevels. */
function drawnCell({ seed }: MysteryKey) {
  const stream = createStream(seed, MYSTERY_STREAMS.cell);
  const [opening, strip] = at(CELLS, stream.integer(CELLS.length));
  const fence = stream.uniform() < 0.5 ? "centred" : "long-side";
  return { opening, strip, fence };
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
  const { seed, faults, pattern = at(shippedPatterns(), 0) } = key;
  const { opening, strip, fence } = drawnCell(key);
  const { jigs, setUps } = mysteryShop(key);
  const { ramp, stop, thickness } = MYSTERY_TRUST;
  const wrong = faults === 1 ? "One thing is wrong" : `${faults} things are wrong`;
  return `# An invented shop. ${wrong} with its jigs, stops or stock; all else is right, but for the scatter from cut to cut.
# trials.csv has what was read of its trial cuts. Find out what is wrong and by how much, write it into answer.yaml, then
#   sukima mystery --mark THIS-FOLDER --answer THIS-FOLDER/answer.yaml
title: Mystery ${seed} (invented)
units: mm
pattern: ${pattern}
opening: ${opening}
strip: ${strip}

jigs:
${jigs
  .map(({ name, ramp: label, makes }) => {
    const bears = makes === "bevel" ? fence : "centred";
    return `  ${name}: { ramp: ${label}, fence: ${bears}, trusted-to: ${ramp} deg, shims: { base: 80, leaves: [0.1, 0.2, 0.3, 0.5, 0.8] } }`;
  })
  .join("\n")}

set-ups:
${setUps
  .map(({ name, jig, group, stopped }) => {
    const at = stopped ? `, stop: { trusted-to: ${stop}, step: 0.05 }` : "";
    return `  ${name}: { jig: ${jig}, cuts: [${group}]${at} }`;
  })
  .join("\n")}

instruments:
  angle-gauge: { reads: angle, resolution: 0.1 deg, repeatability: 0.08 deg }
  caliper: { reads: [length, thickness], resolution: 0.01, repeatability: 0.015 }
  shim-strips: { reads: gap, reach: [toe, heel, widest], repeatability: 0.004, leaves: [0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1, 0.12, 0.15, 0.2, 0.3] }

scatter: { angle: 0.06 deg, length: 0.015, thickness: 0.01 }
thickness: { trusted-to: ${thickness} }
grid: { offset: 0.01, turn: 0.01 deg }
limits: { gap: 0.1, snug: 0.03 }
`;
}

/** What a mystery is made from: all that is wrong in it follows. */
export interface MysteryKey {
  /** Whole, 0 … 2⁵³ − 1. */
  readonly seed: number;
  /** How many things are wrong. */
  readonly faults: number;
  /** The pattern of its cells; default the square asanoha. The code does not hold it: it stands in the mystery's job. */
  readonly pattern?: string;
}

/** An odd number and its inverse modulo 2⁶⁴: multiplying stirs a seed, multiplying back stills it. */
const STIR = 0x9e3779b97f4a7c15n;
const STILL = 0xf1de83e19937733dn;
const MASK = (1n << 64n) - 1n;
const FAULT_DIGITS = 10n;
const CHECK_DIGITS = 4;

/**
 * A mystery's key as a short word. It keeps the key from being read at a glance and a mistyped word from being taken for another;
 * it is no secret: whoever runs this code can undo it.
 */
export function mysteryCode({ seed, faults }: MysteryKey): string {
  const stirred = ((BigInt(seed) * FAULT_DIGITS + BigInt(faults)) * STIR) & MASK;
  const word = stirred.toString(36);
  return `${word}-${checkOf(word)}`;
}

/** @throws UserError (code "mystery") for a word that is not such a code. */
export function readMysteryCode(code: string): MysteryKey {
  const [, word, check] = code.trim().match(/^([0-9a-z]{1,13})-([0-9a-f]{4})$/) ?? [];
  if (word === undefined || checkOf(word) !== check)
    throw new UserError(
      "mystery",
      `“${code}” is not a mystery's code: a letter or digit is wrong or missing.`,
    );
  let stirred = 0n;
  for (const digit of word) stirred = stirred * 36n + BigInt(Number.parseInt(digit, 36));
  const key = (stirred * STILL) & MASK;
  return { seed: Number(key / FAULT_DIGITS), faults: Number(key % FAULT_DIGITS) };
}

const checkOf = (word: string): string =>
  createHash("sha256").update(`mystery ${word}`).digest("hex").slice(0, CHECK_DIGITS);
