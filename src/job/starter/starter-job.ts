import type { LengthUnit } from "../../quantity/index.js";
import { USUAL_COLUMNS } from "../trials/headings.js";
import { exampleReadings } from "./example-readings.js";
import { STARTER_SIZES, type StarterSizes } from "./starter-sizes.js";

/** The two files of a job that nothing was measured for yet. */
export interface StarterJob {
  readonly "job.yaml": string;
  readonly "trials.csv": string;
}

/** A job to start from: every key there with a comment, in mm or in inches, and a table of trials with its headings alone. */
export function starterJob(title: string, units: LengthUnit): StarterJob {
  const heading = USUAL_COLUMNS.join(",");
  return {
    "job.yaml": [
      ...head(title, units),
      ...cell(STARTER_SIZES[units]),
      ...shop(STARTER_SIZES[units]),
      ...measuring(STARTER_SIZES[units]),
      ...tableGuide(heading, exampleReadings(units)),
    ].join("\n"),
    "trials.csv": `${heading}\n`,
  };
}

const head = (title: string, units: LengthUnit): string[] => [
  "# Change what differs in your shop. What stands after a # is for you; the program skips it.",
  "# Lengths may be written 60 mm, 2 3/8 in, 7/64 in, 0.118 in or 5 thou, angles 22.5 deg or 22°30'.",
  "# A bare length is in the units named here, a bare angle in degrees.",
  '# Run "npx sukima predict" on this folder after a change.',
  "",
  // A JSON string is a YAML string, whatever is in it.
  `title: ${JSON.stringify(title)}`,
  `units: ${units}`,
  "",
];

const cell = ({ opening, strip, gapLimit, snugLimit }: StarterSizes): string[] => [
  "# One cell: a square opening with a diagonal, four hinge pieces and two keys.",
  "pattern: asanoha-square",
  `${`opening: ${opening}`.padEnd(20)} # clear side, from grid strip to grid strip`,
  `${`strip: ${strip}`.padEnd(20)} # thickness as seen from the face`,
  "",
  "# Wider than this is a gap; pressed deeper than this, a piece will not go in.",
  `limits: { gap: ${gapLimit}, snug: ${snugLimit} }`,
  "",
];

const shop = ({ base, leaves, stopTrusted, stopStep }: StarterSizes): string[] => [
  "# Your jigs.",
  "#   ramp: its angle, counted from a square cut.",
  "#   trusted-to: two times in three the ramp is this close to its label.",
  "#   fence: the side of the bevel it bears on: centred, long-side or short-side. It decides",
  "#     what thicker stock does.",
  "#   shims: a leaf pushed under one end turns the ramp; base is from there to the end that stays.",
  "#     A jig without shims has locked: true instead.",
  "jigs:",
  ...[
    ["point-45", "45 deg"],
    ["point-67", "67.5 deg"],
    ["bevel-22", "22.5 deg"],
  ].flatMap(([name, ramp]) => [
    `  ${name}:`,
    `    ramp: ${ramp}`,
    "    trusted-to: 0.3 deg",
    "    fence: centred",
    `    shims: { base: ${base}, leaves: ${leaves} }`,
  ]),
  "",
  "# A set-up is a jig with its stop where it stands for certain cuts.",
  "#   The first end of a piece is cut to a mark and has no stop.",
  "#   step: the least that the stop can be moved. One that cannot has locked: true instead.",
  "set-ups:",
  ...[
    ["diagonal-start", "point-45", "diagonal.start"],
    ["diagonal-end", "point-45", "diagonal.end", "stop"],
    ["hinge-point", "point-67", "hinge.point"],
    ["hinge-mitre", "bevel-22", "hinge.mitre", "stop"],
    ["hinge-seat", "bevel-22", "hinge.seat", "stop"],
    ["key-start", "point-45", "key.start"],
    ["key-end", "point-45", "key.end", "stop"],
  ].map(([name, jig, cut, stop]) => {
    const stopped = stop ? `, stop: { trusted-to: ${stopTrusted}, step: ${stopStep} }` : "";
    return `  ${name}: { jig: ${jig}, cuts: [${cut}]${stopped} }`;
  }),
  "",
];

const measuring = (sizes: StarterSizes): string[] => [
  "# What you measure with.",
  "#   reach: a broad feeler leaf tells only the widest place of a joint.",
  "#   repeatability: how far two readings of one thing lie apart, as a standard deviation.",
  "instruments:",
  `  feeler: { reads: gap, reach: widest, leaves: ${sizes.feeler} }`,
  `  caliper: { reads: [length, thickness], resolution: ${sizes.caliper}, repeatability: ${sizes.caliper} }`,
  "  angle-gauge: { reads: angle, resolution: 0.1 deg, repeatability: 0.05 deg }",
  "",
  "# Standard deviations: from one cut (or piece) to the next, of the batch about its nominal",
  "# thickness, of the walls of the grid.",
  `scatter: { angle: 0.05 deg, length: ${sizes.scatterLength}, thickness: ${sizes.scatterThickness} }`,
  `thickness: { trusted-to: ${sizes.batch} }`,
  `grid: { offset: ${sizes.gridOffset}, turn: 0.02 deg }`,
  "",
  "# What if one hinge point came out a degree blunt?",
  '# Take the # off the next line and run "npx sukima predict" again.',
  "# as-cut: { pieces: { hinge-1: { cuts: { start-left: { angle: -1 deg }, start-right: { angle: -1 deg } } } } }",
  "",
];

const tableGuide = (heading: string, rows: readonly string[]): string[] => [
  "# trials.csv beside this file takes one row for each reading: cut a trial piece at each set-up,",
  "# measure it, write it down.",
  "#   trial: your name for the piece; the readings of one piece share it.",
  "#   round: leave it empty to begin with.",
  "#   bench: what the piece was held against; none for a piece in the hand; cell for a whole cell",
  "#     put together (and no set-up then).",
  "#   joint: which cut, joint or piece.",
  "#   value: what a caliper or an angle gauge showed.",
  "#   low, high: the thickest leaf that went in, the thinnest that did not; one of them stays",
  "#     empty where there is none.",
  "# Rows such as these (invented; write your own):",
  `#   ${heading}`,
  ...rows.map((row) => `#   ${row}`),
  "",
];
