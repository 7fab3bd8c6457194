import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { loadJob } from "../../src/job/load-job.js";
import { FULL, LEAST } from "./good-job.js";
import { faultsOf, inFolder } from "./in-folder.js";
import { mendedJob } from "./mended.js";

/** Stands in a text just before the place that a fault must name. */
const MARK = "▸";

interface Case {
  readonly fault: string;
  /** With {@link MARK} in it. */
  readonly text: string;
  readonly field: string;
  readonly says: RegExp;
  /** `group`: the example is a key that the group lacks. `none`: it is advice. Otherwise it replaces what is wrong. */
  readonly mend?: "group" | "none";
}

/** A good text with one piece of it changed; the piece must be there. */
function change(good: string, piece: string, changed: string): string {
  if (!good.includes(piece)) throw new Error(`“${piece}” is not in the text`);
  return good.replace(piece, changed);
}
const full = (piece: string, changed: string): string => change(FULL, piece, changed);
const least = (piece: string, changed: string): string => change(LEAST, piece, changed);
const added = (line: string): string => `${LEAST}${line}\n`;

const CASES: readonly Case[] = [
  {
    fault: "a key that is not known",
    text: added("▸seatshare: 0.66"),
    field: "seatshare",
    says: /“seatshare” is not known here. Did you mean seat-share\?/,
  },
  {
    fault: "a key of a group that is not known",
    text: full("trusted-to: 0.4 deg, shims", "▸trusted_to: 0.4 deg, shims"),
    field: "jigs.point-45.trusted_to",
    says: /Did you mean trusted-to\? The keys here are ramp/,
  },
  {
    fault: "a missing key",
    text: least("pattern: asanoha-square\n", "▸"),
    field: "pattern",
    says: /^Pattern: it is missing/,
  },
  {
    fault: "a missing key of a group",
    text: full("{ ramp: 45 deg, fence: centred,", "▸{"),
    field: "jigs.point-45.ramp",
    says: /^Ramp: it is missing/,
  },
  {
    fault: "a key without a value",
    text: least("opening: 60", "▸opening:"),
    field: "opening",
    says: /nothing follows its colon/,
  },
  {
    fault: "a pattern that there is none of",
    text: least("asanoha-square", "▸asanoha-sqare"),
    field: "pattern",
    says: /no such pattern; did you mean asanoha-square\?/,
  },
  {
    fault: "a negative size",
    text: least("60", "▸-60"),
    field: "opening",
    says: /it is negative; it must be more than zero; the value was -60/,
  },
  {
    fault: "an angle for a length",
    text: least("60", "▸60 deg"),
    field: "opening",
    says: /deg is a unit of angle/,
  },
  {
    fault: "a strip too thick for the opening",
    text: least("strip: 3", "strip: ▸25 mm"),
    field: "strip",
    says: /too thick for this asanoha-square.*25 mm/,
  },
  {
    fault: "units that there are none of",
    text: added("units: ▸cm"),
    field: "units",
    says: /no such unit; it must be mm or in; the value was “cm”/,
  },
  {
    fault: "a share beyond the whole",
    text: added("seat-share: ▸65.33"),
    field: "seat-share",
    says: /share of the strip between 0 and 1; the value was 65.33/,
  },
  {
    fault: "a number in quotation marks",
    text: added('press-ratio: ▸"1000"'),
    field: "press-ratio",
    says: /it is not a number.*the value was “1000”/,
  },
  {
    fault: "a number that is none",
    text: added("press-ratio: ▸.inf"),
    field: "press-ratio",
    says: /it is not a number/,
  },
  {
    fault: "a title that is no text",
    text: added("title: ▸[alcove]"),
    field: "title",
    says: /it is not a text/,
  },
  {
    fault: "a title that drives a terminal",
    text: added('title: ▸"\\e[2J"'),
    field: "title",
    says: /cannot be shown.*\\u\{1B\}/,
  },
  {
    fault: "a piece that the cell does not have",
    text: added("as-cut:\n  pieces:\n    ▸hinge-5: { thickness: 0.02 }"),
    field: "as-cut.pieces.hinge-5",
    says: /no such piece.*diagonal, hinge-1, hinge-2, key-1/,
  },
  {
    fault: "a face that the piece does not have",
    text: added("as-cut:\n  pieces:\n    hinge-1: { cuts: { ▸left: { angle: 1 } } }"),
    field: "as-cut.pieces.hinge-1.cuts.left",
    says: /no such face.*start-left, start-right, end-left or end-right/,
  },
  {
    fault: "a wall that the cell does not have",
    text: added("as-cut: { walls: { ▸wall-lft: { turn: 1 } } }"),
    field: "as-cut.walls.wall-lft",
    says: /did you mean wall-left\?/,
  },
  {
    fault: "the angle for its error",
    text: added("as-cut: { pieces: { hinge-1: { cuts: { end-left: { angle: ▸22.4 } } } } }"),
    field: "as-cut.pieces.hinge-1.cuts.end-left.angle",
    says: /give the error and not the angle itself/,
  },
  {
    fault: "the thickness for its error",
    text: added("as-cut: { pieces: { key-1: { thickness: ▸-3 } } }"),
    field: "as-cut.pieces.key-1.thickness",
    says: /leaves no strip.*the difference from the strip/,
  },
  {
    fault: "a ramp counted from the wrong side",
    text: full("{ ramp: 45 deg, fence", "{ ramp: ▸135 deg, fence"),
    field: "jigs.point-45.ramp",
    says: /counted from a square cut and stays below 90°/,
  },
  {
    fault: "a fence in a place that there is none of",
    text: full("fence: centred", "fence: ▸center"),
    field: "jigs.point-45.fence",
    says: /did you mean centred\?/,
  },
  {
    fault: "a jig trusted entirely and not locked",
    text: full("trusted-to: 0.4 deg, shims", "trusted-to: ▸0, shims"),
    field: "jigs.point-45.trusted-to",
    says: /more than zero, unless the same group says locked: true/,
  },
  {
    fault: "a jig without shims and not locked",
    text: full("{ ramp: 22.5 deg, fence: long-side, trusted-to: 0.4 deg, locked: true", "▸{ ramp: 22.5 deg"),
    field: "jigs.bevel-22",
    says: /does not say how its ramp is adjusted/,
    mend: "group",
  },
  {
    fault: "locked that is neither true nor false",
    text: full("locked: true, trusted-to: 0 ", "locked: ▸yes, trusted-to: 0.1 "),
    field: "jigs.point-67.locked",
    says: /neither true nor false.*the value was “yes”/,
  },
  {
    fault: "leaves that do not rise",
    text: full("[0.1, 0.2, 0.3, 0.5]", "[0.1, 0.3, ▸0.2]"),
    field: "jigs.point-45.shims.leaves.2",
    says: /not thicker than the one before.*the value was 0.2/,
  },
  {
    fault: "an empty list",
    text: full("[0.1, 0.2, 0.3, 0.5]", "▸[]"),
    field: "jigs.point-45.shims.leaves",
    says: /the list is empty/,
  },
  {
    fault: "one value for a list",
    text: full("[0.1, 0.2, 0.3, 0.5]", "▸0.1"),
    field: "jigs.point-45.shims.leaves",
    says: /not a list.*square brackets/,
  },
  {
    fault: "a set-up with a jig that there is none of",
    text: full("{ jig: point-67, cuts", "{ jig: ▸point-76, cuts"),
    field: "set-ups.hinge-point.jig",
    says: /did you mean point-67\? It must be point-45, point-67 or bevel-22/,
  },
  {
    fault: "a set-up with a jig of another angle",
    text: full("diagonal-start: { jig: point-45", "diagonal-start: { jig: ▸point-67"),
    field: "set-ups.diagonal-start.jig",
    says: /point-67 has a ramp of 67.5° and diagonal.start is cut at 45°/,
  },
  {
    fault: "a group of cuts that the pattern does not have",
    text: full("[diagonal.end]", "[▸diagonal.ends]"),
    field: "set-ups.diagonal-end.cuts.0",
    says: /did you mean diagonal.end\?/,
  },
  {
    fault: "a group of cuts at two set-ups",
    text: full("[diagonal.end]", "[▸diagonal.start, diagonal.end]"),
    field: "set-ups.diagonal-end.cuts.0",
    says: /diagonal.start is made at diagonal-start already/,
  },
  {
    fault: "a group of cuts at no set-up",
    text: full("  key-start: { jig: point-45, cuts: [key.start] }\n", "").replace("set-ups", "▸set-ups"),
    field: "set-ups",
    says: /none makes key.start; every group of cuts/,
    mend: "group",
  },
  {
    fault: "a stop without a step and not locked",
    text: full("stop: { step: 0.05 }", "stop: ▸{ trusted-to: 0.1 }"),
    field: "set-ups.key-end.stop",
    says: /smallest step that it can be moved by, or say that it is locked/,
    mend: "group",
  },
  {
    fault: "a stop trusted entirely and not locked",
    text: full("stop: { step: 0.05 }", "stop: { step: 0.05, trusted-to: ▸0 mm }"),
    field: "set-ups.key-end.stop.trusted-to",
    says: /more than zero, unless the same group says locked: true; the value was “0 mm”/,
  },
  {
    fault: "a feeler gauge without its reach",
    text: full("{ reads: gap, reach: widest,", "▸{ reads: gap,"),
    field: "instruments.feeler",
    says: /does not say where it reaches/,
    mend: "group",
  },
  {
    fault: "a reach that there is none of",
    text: full("reach: widest", "reach: ▸tip"),
    field: "instruments.feeler.reach",
    says: /it must be toe, heel or widest; the value was “tip”/,
  },
  {
    fault: "a reach where no gaps are read",
    text: full("{ reads: [length, thickness],", "{ reads: [length, thickness], reach: ▸toe,"),
    field: "instruments.caliper.reach",
    says: /leave reach out, or add gap/,
    mend: "none",
  },
  {
    fault: "an instrument without leaves or resolution",
    text: full("{ reads: [length, thickness], resolution: 0.01,", "▸{ reads: [length, thickness],"),
    field: "instruments.caliper",
    says: /neither leaves nor a resolution/,
    mend: "group",
  },
  {
    fault: "an instrument with leaves and a resolution",
    text: full("resolution: 0.02", "leaves: [1], resolution: ▸0.02"),
    field: "instruments.loupe.resolution",
    says: /leave one of the two out/,
    mend: "none",
  },
  {
    fault: "a resolution in the wrong dimension",
    text: full("resolution: 0.1 deg", "resolution: ▸0.1 mm"),
    field: "instruments.angle-gauge.resolution",
    says: /mm is a unit of length; an angle is in deg/,
  },
  {
    fault: "an instrument of two dimensions",
    text: full("reads: angle,", "reads: ▸[angle, length],"),
    field: "instruments.angle-gauge.reads",
    says: /declare an instrument for each/,
  },
  {
    fault: "leaves of an instrument that reads no gaps",
    text: full("reads: gap, reach: widest, leaves: [", "reads: length, leaves: ▸["),
    field: "instruments.feeler.leaves",
    says: /leaves read gaps and nothing else/,
    mend: "none",
  },
  {
    fault: "a quantity named twice",
    text: full("[length, thickness]", "▸[length, length]"),
    field: "instruments.caliper.reads",
    says: /a member stands twice/,
    // The example reads gaps, and this instrument has no reach.
    mend: "none",
  },
  {
    fault: "a name with a line break in it",
    text: full("  caliper:", '  ▸"cali\\nper":'),
    field: "instruments.cali\nper",
    says: /this name cannot be used/,
    mend: "none",
  },
  {
    fault: "a list for a group of names",
    text: added("jigs: ▸[point-45]"),
    field: "jigs",
    says: /not a group of named entries/,
  },
  {
    fault: "a negative scatter",
    text: full("scatter: { angle: 0.06 deg", "scatter: { angle: ▸-0.06 deg"),
    field: "scatter.angle",
    says: /it must be zero or more/,
  },
  {
    fault: "a limit of zero",
    text: full("gap: 0.12", "gap: ▸0"),
    field: "limits.gap",
    says: /it is zero; it must be more than zero/,
  },
  {
    fault: "a section without anything in it",
    text: full("grid: { offset: 0.03, turn: 0.01 deg }", "▸grid:"),
    field: "grid",
    says: /not a group of keys/,
  },
  {
    fault: "a section that is one value",
    text: full("grid: { offset: 0.03, turn: 0.01 deg }", "grid: ▸0.03"),
    field: "grid",
    says: /not a group of keys/,
  },
];

/** Line and column of the mark, both from 1. */
function marked(text: string): { line: number; column: number } {
  const before = text.slice(0, text.indexOf(MARK)).split("\n");
  return { line: before.length, column: before.at(-1)!.length + 1 };
}
const plain = (text: string): string => text.replace(MARK, "");
const faultsIn = (text: string) => faultsOf(() => loadJob(inFolder({ "job.yaml": text })));

describe("a fault in a job file", () => {
  it.each(CASES)("is found and placed: $fault", ({ text, field, says }) => {
    expect(text.split(MARK)).toHaveLength(2);
    const folder = inFolder({ "job.yaml": plain(text) });
    const faults = faultsOf(() => loadJob(folder));
    expect(faults).toMatchObject([{ file: join(folder, "job.yaml"), field, ...marked(text) }]);
    expect(faults[0]!.sentence).toMatch(says);
    expect(faults[0]!.sentence).toMatch(/\.$/);
  });

  it.each(CASES.filter(({ mend }) => mend !== "none"))(
    "has an example that mends it: $fault",
    ({ text, mend }) => {
      const [fault] = faultsIn(plain(text));
      expect(faultsIn(mendedJob(plain(text), fault!, mend === "group"))).toEqual([]);
    },
  );

  it("does not hide others: all are told, in the order of the file", () => {
    const text = `openning: 60
pattern: asanoha
strip: 3 deg
as-cut: { pieces: { hinge-9: {} }, walls: { left: {} } }
jigs: { a: { ramp: 100 deg }, b: { ramp: 45 deg } }
set-ups: { s: { jig: c, cuts: [x.y] } }
instruments: { f: { reads: gap }, g: { reads: smell } }
limits: { gap: -1, snug: 0, wide: 1 }
`;
    const told = faultsIn(text).map(({ line, field }) => `${line} ${field}`);
    expect(told.filter((place) => place.startsWith("1")).sort()).toEqual(["1 opening", "1 openning"]);
    expect(told.slice(2)).toEqual([
      ...["2 pattern", "3 strip", "4 as-cut.pieces.hinge-9", "4 as-cut.walls.left"],
      ...["5 jigs.a.ramp", "5 jigs.b", "6 set-ups.s.jig", "6 set-ups.s.cuts.0"],
      ...["7 instruments.f", "7 instruments.f", "7 instruments.g.reads"],
      ...["8 limits.gap", "8 limits.snug", "8 limits.wide"],
    ]);
  });

  it("is printed with its file, place, sentence and example", () => {
    const folder = inFolder({ "job.yaml": least("60", "-60").replace("strip: 3", "strap: 3") });
    const message = (() => {
      try {
        return String(loadJob(folder));
      } catch (error) {
        return (error as Error).message;
      }
    })();
    const file = join(folder, "job.yaml");
    expect(message).toContain(`${file}, line 2, column 10: opening\n  Opening: it is negative;`);
    expect(message).toContain("\n  Right would be: opening: 60 mm\n");
    expect(message).toContain(`${file}, line 3, column 1: strap\n  The key “strap” is not known here.`);
    expect(message.split("\n\n")).toHaveLength(4);
  });
});
