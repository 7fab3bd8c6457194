import { arrangePattern } from "../job/pattern/arrange-pattern.js";
import { shippedPattern, shippedPatterns } from "../job/pattern/shipped-patterns.js";
import { patternShop } from "../job/starter/pattern-shop.js";
import { createStream } from "../numeric/random-stream.js";
import type { MysteryKey } from "./mystery-code.js";

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
  const [opening, strip] = CELLS[stream.integer(CELLS.length)]!;
  const fence = stream.uniform() < 0.5 ? "centred" : "long-side";
  return { opening, strip, fence };
}

/** The jigs and stops of a mystery's shop by name, and what they cut. */
export function mysteryShop(key: MysteryKey) {
  const { opening, strip } = drawnCell(key);
  const pattern = shippedPattern(key.pattern ?? shippedPatterns()[0]!);
  const shop = patternShop(arrangePattern(pattern, { opening, strip }).arrangement!);
  return {
    ...shop,
    ramps: shop.jigs.map(({ name }) => name),
    stops: shop.setUps.filter(({ stopped }) => stopped).map(({ name }) => name),
  };
}

/** The job file of a mystery: an invented shop whose jigs nobody has checked. */
export function mysteryJobText(key: MysteryKey): string {
  const { seed, faults, pattern = shippedPatterns()[0]! } = key;
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
  .map(({ name, ramp: label }) => {
    const bears = name.startsWith("bevel") ? fence : "centred";
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
