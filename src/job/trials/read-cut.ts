import type { SetUp } from "../../cutting/shop.js";
import { listed, nearest } from "../words.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** The cut that an angle was read on: a face of a trial piece (`start-left`), or of a cell's piece (`hinge-1.end-left`). */
export function readCut(row: Row, { cell }: Workshop, setUp: SetUp | null): string | undefined {
  const typed = row.get("joint").toLowerCase();
  const cuts = cell.pieces.flatMap((piece) =>
    piece.cuts.map(({ face, group }) => ({ full: `${piece.name}.${face}`, face, group })),
  );
  const known =
    setUp === null
      ? cuts.map(({ full }) => full)
      : [...new Set(cuts.filter(({ group }) => setUp.cuts.includes(group)).map(({ face }): string => face))];
  if (known.includes(typed)) return typed;
  const cutFace = typed.split(".").at(-1)!;
  const example = nearest(typed, known) ?? known.find((face) => face === cutFace) ?? known[0]!;
  const rule =
    setUp === null
      ? "without a set-up the cut is named with its piece, such as hinge-1.end-left; with one, by its face alone"
      : `the set-up ${setUp.name} cuts ${listed(known)}, and the face is named alone`;
  const problem = typed === "" ? "nothing is written" : "there is no such cut here";
  return row.refuse("joint", { problem, rule }, example);
}
