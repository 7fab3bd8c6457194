import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { listed } from "../../core/text.js";
import { type Cell, PANEL_SIDES, type PanelSide } from "../../model/cell/cell.js";
import { faceAlone, faceName, turnedJoint } from "../../model/cell/face-id.js";
import { cutsMeant } from "../../model/cell/joint-names.js";
import {
  type Instrument,
  PLACES,
  type Place,
  type ReadingBench,
  type ReadQuantity,
} from "../../model/readings.js";
import { jigsUsed, type SetUp } from "../../model/shop.js";
import { nearest, unknownWord } from "../faults.js";
import type { TrialRow } from "./trials-csv.js";
import type { Workshop } from "./workshop.js";

interface ReadSoFar {
  readonly what: ReadQuantity | undefined;
  readonly bench: ReadingBench | undefined;
  readonly setUp: SetUp | null | undefined;
  readonly place: Place | undefined;
}

/** The subject in the column `joint`: the joint of a gap, the cut of an angle, the piece of a length or thickness, the side of a shoulder length, the jig of a ramp. */
export function readSubject(row: TrialRow, shop: Workshop, read: ReadSoFar): string | null | undefined {
  const { what, bench, setUp, place } = read;
  if (what === undefined || setUp === undefined) return undefined;
  if (what === "angle") return readCut(row, shop, setUp);
  if (what === "ramp") return readJig(row, shop);
  if (what === "shoulder") return readPieceSide(row, shop, setUp);
  if (what !== "gap") return readPiece(row, shop, setUp, what);
  if (bench === undefined || bench === "none") return undefined;
  if (bench === "cell") return readJoint(row, shop, shop.cell, place);
  if (setUp === null) return undefined;
  const made = shop.bench(bench, setUp);
  return made instanceof UserError ? undefined : readJoint(row, shop, made, place);
}

/** The piece that was measured, by its name or its kind (the first of that kind). */
function readPiece(
  row: TrialRow,
  { cell }: Workshop,
  setUp: SetUp | null,
  what: "length" | "thickness",
): string | undefined {
  const typed = row.get("joint").toLowerCase();
  const cutHere = cell.pieces.filter(({ cuts }) =>
    cuts.some(({ group }) => setUp?.cuts.includes(group) ?? true),
  );
  const piece =
    cell.pieces.find(({ name }) => name === typed) ?? cell.pieces.find(({ kind }) => kind === typed);
  const example = at(cutHere, 0).name;
  if (piece === undefined) {
    const kinds = cell.pieces.map(({ kind }) => kind);
    const names = [...new Set([...cell.pieces.map(({ name }) => name), ...kinds])];
    const [problem, rule] =
      typed === ""
        ? ["nothing is written", `a ${what} is of one piece: ${listed(names, "or")}`]
        : unknownWord(typed, "piece", names);
    return row.refuse("joint", { problem, rule }, example);
  }
  if (cutHere.includes(piece)) return piece.name;
  const rule = `it cuts ${listed(setUp!.cuts)}`;
  return row.refuse(
    "joint",
    { problem: `the set-up ${setUp!.name} makes no cut of ${piece.name}`, rule },
    example,
  );
}

/** The side whose shoulder length was read: `hinge-1.left`, or `hinge.left` for the first of its kind. */
function readPieceSide(row: TrialRow, { cell }: Workshop, setUp: SetUp | null): string | undefined {
  const typed = row.get("joint").toLowerCase();
  const cutHere = cell.pieces.filter(({ cuts }) =>
    cuts.some(({ group }) => setUp?.cuts.includes(group) ?? true),
  );
  const sidesOf = (named: "name" | "kind"): [string, string][] =>
    cutHere.flatMap((piece) =>
      (["left", "right"] as const).map((face): [string, string] => [
        faceName({ owner: piece[named], face }),
        faceName({ owner: piece.name, face }),
      ]),
    );
  const names = sidesOf("name").map(([, name]) => name);
  const found = [...sidesOf("name"), ...sidesOf("kind")].find(([name]) => name === typed);
  if (found) return found[1];
  const rule =
    setUp === null
      ? "a shoulder length is of one side of a piece, from the shoulder at its start to the shoulder at its end"
      : `the set-up ${setUp.name} cuts ${listed(setUp.cuts)}, and the side is named with its piece`;
  const problem = typed === "" ? "nothing is written" : "there is no such side here";
  return row.refuse("joint", { problem, rule }, nearest(typed, names) ?? at(names, 0));
}

/** The jig whose ramp was read, one that cuts something. */
const readJig = (row: TrialRow, { job }: Workshop): string | undefined =>
  row.word("joint", "jig with a set-up in this job", jigsUsed(job));

/** The cut on which an angle was read: a face of a trial piece (`start-left`), or of a cell's piece (`hinge-1.end-left`). */
function readCut(row: TrialRow, { cell }: Workshop, setUp: SetUp | null): string | undefined {
  const typed = row.get("joint").toLowerCase();
  const cuts = cell.pieces.flatMap((piece) =>
    piece.cuts.map(({ face, group }) => ({ full: faceName({ owner: piece.name, face }), face, group })),
  );
  const isCutAt = (wanted: string): boolean =>
    cuts.some(({ full, group }) => full === wanted && setUp?.cuts.includes(group));
  const known =
    setUp === null
      ? cuts.map(({ full }) => full)
      : [...new Set(cuts.filter(({ group }) => setUp.cuts.includes(group)).map(({ face }): string => face))];
  if (known.includes(typed)) return typed;
  const inWords = cutsMeant(cell, typed).filter((full) => setUp === null || isCutAt(full));
  const found = [...new Set(inWords.map((full) => (setUp === null ? full : faceAlone(full))))];
  if (found.length === 1) return found[0];
  const cutFace = faceAlone(typed);
  const example = nearest(typed, known) ?? known.find((face) => face === cutFace) ?? at(known, 0);
  const rule =
    setUp === null
      ? "without a set-up the cut is named with its piece, such as hinge-1.end-left; with one, by its face alone"
      : `the set-up ${setUp.name} cuts ${listed(known)}, and the face is named alone`;
  const problem = typed === "" ? "nothing is written" : "there is no such cut here";
  return row.refuse("joint", { problem, rule }, example);
}

/** The full name of the joint given in a cell by its name, a part of it or its name in words; `null` for the widest of all joints. */
function readJoint(
  row: TrialRow,
  shop: Workshop,
  cell: Cell,
  place: Place | undefined,
): string | null | undefined {
  const typed = row.get("joint").toLowerCase();
  const names = cell.joints.map(({ name }) => name);
  const { short, meant, known } = shop.jointNames(cell);
  if (typed === "") {
    if (place === "widest" || place === undefined) return null;
    const rule = `without a joint, at must be widest; a ${place} belongs to one joint`;
    return row.refuse("joint", { problem: "nothing is written", rule }, at(short, 0));
  }
  const found = meant(typed);
  if (found.length === 1) return found[0];
  if (found.length > 1) {
    const problem = `more than one joint of ${cell.name} has this part`;
    // Suggestions have the same form as the input: names in words for words, full names for a part of one.
    const ones = typed.includes(" ") ? found.map((one) => at(short, names.indexOf(one))) : found;
    return row.refuse("joint", { problem, rule: `write which one: ${listed(ones, "or")}` }, at(ones, 0));
  }
  // The same two faces in the other order are the most likely mistake.
  const near = nearest(turnedJoint(typed), names) ?? nearest(typed, known());
  const rule =
    near === undefined
      ? `the joints are ${listed(names)}; “sukima draw names” shows them`
      : `did you mean ${near}? A joint has its full name, such as ${names[0]}, or a shorter one that no other has, such as ${short[0]}; “sukima draw names” shows them`;
  const likely = near === undefined ? [] : meant(near);
  const own = Math.max(0, names.indexOf(likely[0] ?? ""));
  return row.refuse(
    "joint",
    { problem: `there is no such joint in ${cell.name}`, rule },
    likely.length === 1 && near !== undefined ? near : at(short, own),
  );
}

/** Where along its joint a gap was read; an empty cell means the only place that the instrument reaches. */
export function readPlace(
  row: TrialRow,
  what: ReadQuantity | undefined,
  instrument: Instrument | undefined,
): Place | undefined {
  const typed = row.get("at");
  if (what === undefined) return undefined;
  if (what !== "gap") {
    if (typed === "") return undefined;
    const article = what === "angle" ? "an" : "a";
    const rule = "only gaps are read at toe, heel or widest, so leave this empty";
    return row.refuse("at", { problem: `${article} ${what} has no place along a joint`, rule }, "");
  }
  const reach = instrument?.reach ?? PLACES;
  if (typed === "" && reach.length === 1) return reach[0];
  const place = row.word("at", "place along a joint", PLACES, reach[0]);
  if (place === undefined || reach.includes(place)) return place;
  const problem = `${instrument!.name} cannot tell the gap at ${place === "widest" ? "its widest" : `the ${place}`}`;
  return row.refuse(
    "at",
    { problem, rule: `the job says that it reaches only ${listed(reach)}` },
    at(reach, 0),
  );
}

/** The side of the panel at which a gap was read; `undefined` for the wider one, and after noting a fault. */
export function readSide(
  row: TrialRow,
  { cell }: Workshop,
  what: ReadQuantity | undefined,
): PanelSide | undefined {
  if (row.get("side") === "" || what === undefined) return undefined;
  if (what !== "gap") {
    const article = what === "angle" ? "an" : "a";
    const rule = "only gaps are read at the front or at the back, so leave this empty";
    return row.refuse("side", { problem: `${article} ${what} has no side`, rule }, "");
  }
  const side = row.word("side", "side of the panel", PANEL_SIDES);
  if (side === undefined || cell.depth !== undefined) return side;
  const problem = "nothing leans in this job, so front and back are alike";
  const rule = "leave this empty, or give the job a depth and a jig its lean or lean-trusted-to";
  return row.refuse("side", { problem, rule }, "");
}
