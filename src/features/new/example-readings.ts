import { present } from "../../core/numeric/dense.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import { patternShop, type StarterSetUp } from "../../io/patterns/pattern-shop.js";
import { type TrialColumn, USUAL_COLUMNS } from "../../io/trials/trials-csv.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { cornerName } from "../../model/cell/benches.js";

type Written = Partial<Record<TrialColumn, string>>;

/** How far the invented readings are off: degrees and mm. */
const OFF = { first: 0.4, second: 0.6, longer: 0.1, shorter: -0.05 } as const;

/** Rows of a table of trials as they may look for the starter job of a pattern; invented. */
export function exampleReadings(arrangement: Arrangement, units: LengthUnit): string[] {
  const { thinnest, gapLow, gapHigh, thickness } = STARTER_SIZES[units];
  const { setUps } = patternShop(arrangement);
  const inHand = { bench: "none" };
  const angle = { ...inHand, what: "angle", unit: "deg", instrument: "angle-gauge" };
  const caliper = { ...inHand, unit: units, instrument: "caliper" };
  const gap = { what: "gap", at: "widest", unit: units, instrument: "feeler" };
  const kinds = [...new Set(setUps.map(({ piece }) => piece))];
  const [first, second = first, third] = kinds;
  const a = present(setUps.findLast(({ piece }) => piece === first));
  const b = present(setUps.find(({ piece }) => piece === second));
  const c = setUps.findLast(({ piece }) => piece === third);
  const trial = (setUp: StarterSetUp, number: number) => ({
    trial: `${setUp.piece.kind.charAt(0)}${number}`,
    "set-up": setUp.name,
  });
  const length = (mm: number): string => (units === "mm" ? mm.toFixed(2) : (mm / 25.4).toFixed(4));
  const one = trial(a, 1);
  const two = trial(b, second === first ? 2 : 1);
  const rows: Written[] = [
    { ...one, ...angle, joint: a.cut.face, value: degrees(a, OFF.first), note: "one cut of that end" },
    { ...one, ...gap, ...benchOf(a), high: thinnest, note: "nothing goes in" },
    {
      ...one,
      ...caliper,
      joint: a.piece.kind,
      what: "length",
      value: length(a.piece.length + OFF.longer),
      note: "tip to tip",
    },
    { ...one, ...caliper, joint: a.piece.kind, what: "thickness", value: thickness },
    { ...two, ...angle, joint: b.cut.face, value: degrees(b, OFF.second) },
    { ...two, ...gap, ...benchOf(b), low: gapLow, high: gapHigh, note: "one goes in and the next does not" },
    ...(c
      ? [
          {
            ...trial(c, 1),
            ...caliper,
            joint: c.piece.kind,
            what: "length",
            value: length(c.piece.length + OFF.shorter),
          },
        ]
      : []),
  ];
  return rows.map((row, i) =>
    USUAL_COLUMNS.map((column) => (column === "id" ? `r${i + 1}` : (row[column] ?? ""))).join(","),
  );
}

const degrees = ({ cut }: StarterSetUp, off: number): string =>
  String(Number(((cut.jigAngle * 180) / Math.PI + off).toFixed(1)));

/** A corner for a point of two equal cuts, the straightedge for any other cut; and the joint there. */
function benchOf({ piece, cut }: StarterSetUp): { bench: string; joint: string } {
  const pair = piece.cuts.filter(({ group }) => group === cut.group).length === 2;
  return pair
    ? { bench: cornerName(cut.jigAngle), joint: "start-left" }
    : { bench: "straightedge", joint: "end-left" };
}

/** Sizes of a starter job as a shop with these units would write them. Common practice, no source. */
export interface StarterSizes {
  readonly opening: string;
  readonly strip: string;
  /** Distance from a ramp's fixed end to its shim, and the leaves at hand. */
  readonly base: string;
  readonly leaves: string;
  readonly stopTrusted: string;
  readonly stopStep: string;
  /** Leaves of a feeler gauge. */
  readonly feeler: string;
  readonly caliper: string;
  readonly scatterLength: string;
  readonly scatterThickness: string;
  readonly batch: string;
  readonly gridOffset: string;
  readonly gapLimit: string;
  readonly snugLimit: string;
  /** The thinnest leaf, and for the example of a gap the thickest that went in and the thinnest that did not. */
  readonly thinnest: string;
  readonly gapLow: string;
  readonly gapHigh: string;
  /** Thickness in the example readings. */
  readonly thickness: string;
}

export const STARTER_SIZES: Readonly<Record<LengthUnit, StarterSizes>> = {
  mm: {
    opening: "60 mm",
    strip: "3 mm",
    base: "80 mm",
    leaves: "[0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5]",
    stopTrusted: "0.15 mm",
    stopStep: "0.05 mm",
    feeler: "[0.03, 0.05, 0.08, 0.1, 0.15, 0.2, 0.3, 0.4]",
    caliper: "0.01 mm",
    scatterLength: "0.02 mm",
    scatterThickness: "0.01 mm",
    batch: "0.03 mm",
    gridOffset: "0.02 mm",
    gapLimit: "0.1 mm",
    snugLimit: "0.02 mm",
    thinnest: "0.03",
    gapLow: "0.03",
    gapHigh: "0.05",
    thickness: "3.01",
  },
  in: {
    opening: "2 3/8 in",
    strip: "1/8 in",
    base: "3 1/4 in",
    leaves: "[2 thou, 4 thou, 6 thou, 8 thou, 12 thou, 16 thou, 20 thou]",
    stopTrusted: "1/128 in",
    stopStep: "2 thou",
    feeler: "[1 thou, 2 thou, 3 thou, 4 thou, 6 thou, 8 thou, 12 thou]",
    caliper: "0.5 thou",
    scatterLength: "0.8 thou",
    scatterThickness: "0.4 thou",
    batch: "1 thou",
    gridOffset: "1 thou",
    gapLimit: "4 thou",
    snugLimit: "1 thou",
    thinnest: "0.001",
    gapLow: "0.001",
    gapHigh: "0.002",
    thickness: "0.1255",
  },
};
