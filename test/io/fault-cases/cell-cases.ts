import { added, full, type JobCase, least } from "./job-case.js";

/** What can be wrong with the file itself, and with what it says of the cell. */
export const CELL_CASES: readonly JobCase[] = [
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
];
