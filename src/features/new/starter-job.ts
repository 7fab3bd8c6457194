import { at, present } from "../../core/numeric/dense.js";
import { type LengthUnit, parseLength } from "../../core/quantity/index.js";
import { arrangePattern } from "../../io/patterns/arrange-pattern.js";
import { shippedPattern, shippedPatterns } from "../../io/patterns/find-pattern.js";
import type { Pattern } from "../../io/patterns/pattern.js";
import { type PatternShop, patternShop } from "../../io/patterns/pattern-shop.js";
import { USUAL_COLUMNS } from "../../io/trials/trials-csv.js";
import type { Arrangement, Piece } from "../../model/cell/arrangement.js";
import { exampleReadings, STARTER_SIZES, type StarterSizes } from "./example-readings.js";

/** The two files of a job that nothing was measured for yet. */
export interface StarterJob {
  readonly "job.yaml": string;
  readonly "trials.csv": string;
}

/**
 * A job to start from, for a pattern of this project: every key there with a comment, in mm or in inches, and a table of trials with its headings alone.
 */
export function starterJob(
  title: string,
  units: LengthUnit,
  pattern: Pattern = shippedPattern(at(shippedPatterns(), 0)),
): StarterJob {
  const heading = USUAL_COLUMNS.join(",");
  const sizes = STARTER_SIZES[units];
  const arrangement = starterArrangement(pattern, units);
  return {
    "job.yaml": [
      ...head(title, units),
      ...cell(pattern, sizes, units),
      ...shop(sizes, patternShop(arrangement)),
      ...measuring(sizes, arrangement),
      ...wholeScreen(units),
      ...tableGuide(heading, exampleReadings(arrangement, units)),
    ].join("\n"),
    "trials.csv": `${heading}\n`,
  };
}

/** The pattern at the starter's opening and strip, its further sizes at their usual ones, rounded as they are written. */
function starterArrangement(pattern: Pattern, units: LengthUnit): Arrangement {
  const { opening, strip } = STARTER_SIZES[units];
  const read = (text: string): number => parseLength(text, { unit: units, what: "size" });
  const given = { opening: read(opening), strip: read(strip) };
  const { sizes } = arrangePattern(pattern, given);
  const further = furtherSizes(pattern).slice(0, 1);
  const rounded = further.map(({ name }): [string, number] => [
    name,
    read(lengthText(present(sizes[name]), units)),
  ]);
  return present(arrangePattern(pattern, { ...given, ...Object.fromEntries(rounded) }).arrangement);
}

const OWN_KEYS = ["opening", "strip", "seat-share"];
const furtherSizes = ({ sizes }: Pattern) => sizes.filter(({ name }) => !OWN_KEYS.includes(name));

const lengthText = (mm: number, units: LengthUnit): string =>
  units === "mm" ? `${Number(mm.toFixed(3))} mm` : `${Number((mm / 25.4).toFixed(4))} in`;

const head = (title: string, units: LengthUnit): string[] => [
  "# Set opening and strip to your own. Every other line can stay as it is if you do not know better:",
  "# “as it stands” says what is then assumed. Text after a # is for you; the program skips it.",
  "# Lengths may be written 60 mm, 2 3/8 in, 7/64 in, 0.118 in or 5 thou, angles 22.5 deg or 22°30'.",
  "# A length without a unit is in the units named here, an angle without a unit in degrees.",
  '# Run "npx sukima predict" on this folder after a change.',
  "",
  // A JSON string is a YAML string, whatever is in it.
  `title: ${JSON.stringify(title)}`,
  `units: ${units}`,
  "",
];

const cell = (
  pattern: Pattern,
  { opening, strip, gapLimit, snugLimit }: StarterSizes,
  units: LengthUnit,
): string[] => [
  ...commented(pattern.about),
  `pattern: ${pattern.name}`,
  `${`opening: ${opening}`.padEnd(20)} # ${saysOf(pattern, "opening")}`,
  `${`strip: ${strip}`.padEnd(20)} # ${saysOf(pattern, "strip")}`,
  ...further(pattern, units),
  "",
  "# limits: what you call a gap, and how deep a press still goes in by hand.",
  `#   As it stands: wider than ${gapLimit} is a gap; pressed deeper than ${snugLimit}, a piece will not go in.`,
  `limits: { gap: ${gapLimit}, snug: ${snugLimit} }`,
  "# lengths: fitted       # take the # off if you shorten each piece until it just goes in.",
  "#   As it stands: pieces are used as the stops cut them.",
  "",
];

const saysOf = ({ sizes }: Pattern, name: string): string =>
  sizes.find((size) => size.name === name)?.says ?? "";

/** The first further size as it is; those that follow as comments. */
function further(pattern: Pattern, units: LengthUnit): string[] {
  const more = furtherSizes(pattern);
  if (more.length === 0) return [];
  const { opening, strip } = STARTER_SIZES[units];
  const read = (text: string): number => parseLength(text, { unit: units, what: "size" });
  const { sizes } = arrangePattern(pattern, { opening: read(opening), strip: read(strip) });
  const [first, ...rest] = more.map(({ name, is, says }) => {
    const value =
      is === "length"
        ? lengthText(present(sizes[name]), units)
        : String(Number(present(sizes[name]).toFixed(4)));
    return `${`${name}: ${value}`.padEnd(18)} # ${says}`;
  });
  return ["sizes:", `  ${first}`, ...rest.map((line) => `  # ${line}`)];
}

const WIDTH = 96;

/** Running text as comments. */
function commented(text: string): string[] {
  const lines = [""];
  for (const word of text.split(" ")) {
    const last = at(lines, lines.length - 1);
    if (last !== "" && last.length + word.length > WIDTH) lines.push(word);
    else lines[lines.length - 1] = last === "" ? word : `${last} ${word}`;
  }
  return lines.map((line) => `# ${line}`);
}

const shop = (
  { base, leaves, stopTrusted, stopStep }: StarterSizes,
  { jigs, setUps }: PatternShop,
): string[] => [
  "# Your jigs.",
  "#   ramp: its angle, counted from a square cut. As it stands: the angles that this pattern needs.",
  "#   trusted-to: how far the ramp may be off its label, two times in three.",
  "#     As it stands: 0.3 deg, a jig made with care and not yet checked.",
  "#   fence: the side of the bevel it bears on: centred, long-side or short-side. It decides what",
  "#     thicker stock does. As it stands: centred; the middle of a thicker strip stays where it is.",
  "#   shims: a leaf pushed under one end turns the ramp; base is from there to the end that stays.",
  `#     As it stands: you have these leaves, and push them in ${base} from the end that stays.`,
  "#     For a jig that takes no shims write locked: true in its place.",
  "#   lean-trusted-to (not here): how far it may be out of square to its bed; needs depth: beside strip.",
  "#     As it stands: ramps stand square to their beds.",
  "jigs:",
  ...jigs.flatMap(({ name, ramp }) => [
    `  ${name}:`,
    `    ramp: ${ramp}`,
    "    trusted-to: 0.3 deg",
    "    fence: centred",
    `    shims: { base: ${base}, leaves: ${leaves} }`,
  ]),
  "",
  "# A set-up is a jig with its stop set for certain cuts.",
  "#   The first end of a piece is cut to a mark and has no stop.",
  "#   stop: trusted-to is how far pieces may come out long or short, two times in three; step is the",
  "#     least that the stop can be moved. A stop that cannot be moved has locked: true in their place.",
  `#     As it stands: pieces come within ${stopTrusted} of their length, and the stop moves by ${stopStep}.`,
  "set-ups:",
  ...setUps.map(({ name, jig, group, stopped: stop }) => {
    const stopped = stop ? `, stop: { trusted-to: ${stopTrusted}, step: ${stopStep} }` : "";
    return `  ${name}: { jig: ${jig}, cuts: [${group}]${stopped} }`;
  }),
  "",
];

const measuring = (sizes: StarterSizes, arrangement: Arrangement): string[] => [
  "# instruments: what you measure with. Take out what you do not have.",
  "#   reach: a broad feeler leaf shows only the widest place of a joint.",
  "#   resolution: the step it shows. repeatability: how much readings of the same thing differ, two",
  "#     times in three.",
  `#   As it stands: a feeler gauge with these leaves, a caliper that shows ${sizes.caliper}, an angle gauge`,
  "#     that shows 0.1 deg.",
  "instruments:",
  `  feeler: { reads: gap, reach: widest, leaves: ${sizes.feeler} }`,
  `  caliper: { reads: [length, thickness], resolution: ${sizes.caliper}, repeatability: ${sizes.caliper} }`,
  "  angle-gauge: { reads: angle, resolution: 0.1 deg, repeatability: 0.05 deg }",
  "",
  "# How much things differ by chance, two times in three (standard deviations).",
  "#   scatter: from one cut, or one piece, to the next with nothing moved.",
  "#   thickness: how far the whole batch may be off the strip thickness above.",
  "#   grid: how far the walls of an opening are off their places, and turned.",
  "#   As it stands: the figures of careful work; your readings correct the scatter.",
  `scatter: { angle: 0.05 deg, length: ${sizes.scatterLength}, thickness: ${sizes.scatterThickness} }`,
  `thickness: { trusted-to: ${sizes.batch} }`,
  `grid: { offset: ${sizes.gridOffset}, turn: 0.02 deg }`,
  "",
  ...bluntPoint(arrangement),
  "",
];

/** What the commands around a whole screen read, ready to be changed. */
const wholeScreen = (units: LengthUnit): string[] => {
  const [sticks, kerf, warm] = units === "mm" ? ["900 mm", "1.2 mm", "20 C"] : ["36 in", "3/64 in", "68 F"];
  const air = (humidity: number): string => `{ temperature: ${warm}, humidity: ${humidity} % }`;
  return [
    "# For a whole screen take the # off a line and change it; docs/job-files.md describes the other keys.",
    "# As it stands, with the # left on: one cell, and no wood or weather.",
    '# What to cut, with spares: "npx sukima cutlist"; how often it closes: "npx sukima panel".',
    "# panel: { rows: 3, columns: 4 }",
    `# stock: { lengths: [${sticks}], kerf: ${kerf} }`,
    '# What a dry winter does to it: "npx sukima season".',
    `# season: { wood: Sitka spruce, shop: ${air(50)}, year: { winter: ${air(35)}, summer: ${air(65)} } }`,
    '# How good each jig and stop must be for this share of the cells to close: "npx sukima tolerances".',
    "# tolerances: { chance: 0.9 }",
    "",
  ];
};

/** What the sharpest point would do a degree blunt, ready to be tried. */
function bluntPoint({ pieces }: Arrangement): string[] {
  const sharpness = ({ cuts }: Piece): number =>
    at(cuts, 0).group === at(cuts, 1).group ? at(cuts, 0).jigAngle : at(cuts, 0).jigAngle / 2;
  const { name, cuts } = pieces.reduce((best, piece) => (sharpness(piece) > sharpness(best) ? piece : best));
  const faces = cuts.filter(({ group }) => group === at(cuts, 0).group).map(({ face }) => face);
  return [
    `# What if the point of ${name} came out a degree blunt?`,
    '# Take the # off the next line and run "npx sukima predict" again.',
    `# as-cut: { pieces: { ${name}: { cuts: { ${faces.map((face) => `${face}: { angle: -1 deg }`).join(", ")} } } } }`,
  ];
}

const tableGuide = (heading: string, rows: readonly string[]): string[] => [
  "# trials.csv beside this file takes one row for each reading: cut a trial piece at each set-up,",
  "# measure it, write it down.",
  "#   trial: your name for the piece; the readings of one piece share it.",
  "#   set-up: the one that it was cut at, from the list above.",
  "#   round: leave it empty; after moving something, the name that sukima calibrate gives.",
  "#   bench: what the piece was held against; none for a piece measured alone; cell for a whole cell",
  "#     put together (and no set-up then).",
  "#   joint: which cut, joint or piece; names.svg beside this file shows their names.",
  "#   value: what a caliper or an angle gauge showed.",
  "#   low, high: the thickest leaf that went in, the thinnest that did not; one of them stays",
  "#     empty where there is none.",
  "# Rows such as these (invented; write your own):",
  `#   ${heading}`,
  ...rows.map((row) => `#   ${row}`),
  "",
];
