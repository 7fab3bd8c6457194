import type { Arrangement } from "../../lattice/arrangement.js";
import { cornerName } from "../../lattice/bench-named.js";
import type { LengthUnit } from "../../quantity/index.js";
import { type Column, USUAL_COLUMNS } from "../trials/headings.js";
import { patternShop, type StarterSetUp } from "./pattern-shop.js";
import { STARTER_SIZES } from "./starter-sizes.js";

type Written = Partial<Record<Column, string>>;

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
  const a = setUps.findLast(({ piece }) => piece === first)!;
  const b = setUps.find(({ piece }) => piece === second)!;
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
      ...{ ...one, ...caliper, joint: a.piece.kind, what: "length" },
      ...{ value: length(a.piece.length + OFF.longer), note: "tip to tip" },
    },
    { ...one, ...caliper, joint: a.piece.kind, what: "thickness", value: thickness },
    { ...two, ...angle, joint: b.cut.face, value: degrees(b, OFF.second) },
    { ...two, ...gap, ...benchOf(b), low: gapLow, high: gapHigh, note: "one goes in and the next does not" },
    ...(c
      ? [
          {
            ...{ ...trial(c, 1), ...caliper, joint: c.piece.kind, what: "length" },
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
