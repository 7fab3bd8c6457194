import { at } from "../../core/numeric/dense.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import type { Cut, Piece } from "../../model/cell/arrangement.js";
import type { Cell, ErrorKind } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import type { TrialInputs } from "../../physics/kernel/trial-record.js";

/** Indices of a piece's own draws, in an order that is the same for all pieces it can be swapped with, and their effect on its length. */
interface PieceDraws {
  readonly draws: readonly number[];
  /** Change of length per unit of each draw, mm. */
  readonly length: readonly number[];
}

/** Pieces that are cut alike and can be swapped: the four hinges, the two keys. */
export type Swappable = readonly PieceDraws[];

/**
 * The groups of interchangeable pieces of a cell, including pieces that have to be turned over, with their own draws. A piece's length, measured with a caliper from tip to tip, is taken to
 * be longer by the mean of the axial errors of the cuts at each end.
 */
export function swappablePieces(cell: Cell, inputs: TrialInputs, own: readonly number[]): Swappable[] {
  const groups = new Map<string, PieceDraws[]>();
  const owners = ownersOf(cell, inputs, own);
  for (const piece of cell.pieces) {
    const cuts = alikeOrder(piece);
    const key = [piece.kind, ...cuts.map(({ end, group, jigAngle }) => `${end} ${group} ${jigAngle}`)].join();
    const alike = groups.get(key) ?? [];
    groups.set(key, alike);
    alike.push(drawsOf(cell, inputs, piece, cuts, owners));
  }
  return [...groups.values()];
}

/** A piece's cuts from its start to its end, at each end by what they are; a piece turned over has the same order. */
function alikeOrder({ cuts }: Piece): Cut[] {
  return [...cuts].sort((a, b) => a.end - b.end || a.group.localeCompare(b.group) || b.side - a.side);
}

/** The error that a draw produces: the thickness of a piece, or otherwise the only error in its column. */
function ownersOf(cell: Cell, { matrix, draws }: TrialInputs, own: readonly number[]): Map<string, number> {
  const { entries } = errorLayout(cell);
  const owners = new Map<string, number>();
  for (const draw of own) {
    const touched = entries.filter((_, e) => matrix[e * draws + draw] !== 0);
    const entry = touched.find(({ kind }) => kind === "thickness") ?? touched[0];
    if (entry) owners.set(keyOf(entry.kind, entry.owner, entry.face), draw);
  }
  return owners;
}

const keyOf = (kind: ErrorKind, owner: string, face = ""): string => `${kind} ${owner} ${face}`;

function drawsOf(
  cell: Cell,
  { matrix, draws: width }: TrialInputs,
  { name }: Piece,
  cuts: readonly Cut[],
  owners: ReadonlyMap<string, number>,
): PieceDraws {
  const { indexOf } = errorLayout(cell);
  const kinds = ["angle", "axial", "lean"] as const;
  const keys = [
    keyOf("thickness", name),
    ...cuts.flatMap(({ face }) => kinds.map((kind) => keyOf(kind, name, face))),
  ];
  const draws = keys.flatMap((key) => owners.get(key) ?? []);
  const atEnd = (end: number): number => cuts.filter((cut) => cut.end === end).length;
  const length = draws.map((draw) =>
    cuts.reduce(
      (sum, { face, end }) => sum + at(matrix, indexOf("axial", name, face) * width + draw) / atEnd(end),
      0,
    ),
  );
  return { draws, length };
}

export interface SortOptions {
  readonly groups: readonly Swappable[];
  /** Number of draws of each cell. */
  readonly width: number;
  readonly cells: number;
  /** Standard deviations of the measurements of a piece and of an opening, mm. */
  readonly measured: { readonly pieces: number; readonly openings: number };
}

/**
 * Sorts the pieces of one panel into its cells by their measurements: the longest pieces of each kind go into the largest openings. A piece keeps all its errors.
 *
 * @param drawn the cells' draws, row-major (cell, draw); written over.
 * @param opening how much larger than nominal each cell's opening is, mm.
 */
export function sortPieces(
  { groups, width, cells, measured }: SortOptions,
  drawn: Float64Array,
  opening: Float64Array,
  stream: RandomStream,
): void {
  const before = drawn.slice(0, cells * width);
  const read = opening.map((size) => size + measured.openings * stream.normal());
  const largestFirst = ranked(cells, (cell) => at(read, cell));
  for (const group of groups) {
    const pieces = cells * group.length;
    const lengths = Float64Array.from({ length: pieces }, (_, p) => {
      const { draws, length } = at(group, p % group.length);
      const from = Math.floor(p / group.length) * width;
      const own = draws.reduce((sum, draw, k) => sum + at(length, k) * at(before, from + draw), 0);
      return own + measured.pieces * stream.normal();
    });
    for (const [rank, p] of ranked(pieces, (piece) => at(lengths, piece)).entries()) {
      const source = at(group, p % group.length);
      const from = Math.floor(p / group.length) * width;
      const target = at(group, rank % group.length);
      const to = at(largestFirst, Math.floor(rank / group.length)) * width;
      for (const [k, draw] of target.draws.entries())
        drawn[to + draw] = at(before, from + at(source.draws, k));
    }
  }
}

/** The indices 0 … n − 1 in descending order of size; equal ones stay in order. */
const ranked = (n: number, size: (k: number) => number): number[] =>
  Array.from({ length: n }, (_, k) => k).sort((a, b) => size(b) - size(a) || a - b);
