import type { SetUp } from "../../cutting/shop.js";
import { listed, unknownWord } from "../words.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** The piece that was measured, by its name or its kind (the first of that kind). */
export function readPiece(
  row: Row,
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
  const example = cutHere[0]!.name;
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
