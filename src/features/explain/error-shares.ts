import { addScaled, at, columnOf, innerProduct, minus, rowOf } from "../../core/numeric/dense.js";
import { JobCells } from "../../inference/likelihood/read-specimen.js";
import { cellSpecimen } from "../../inference/likelihood/specimen.js";
import { partErrors } from "../../inference/likelihood/trial-blocks.js";
import { errorLayout, rackedGrid, smallOpening } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import { type GridId, type SourceId, sameSource, sourceKey } from "../../model/source-id.js";
import type { Source } from "../../model/sources.js";
import { sourceText } from "../../render/source-text.js";
import type { CellRead } from "./cells-read.js";

/** Errors that differ between cells: the cuts and the thickness of one piece. */
export interface PieceId {
  readonly kind: "piece";
  readonly of: string;
}

/** The remainder of a grid's error after racking and size are subtracted. */
export interface WallsId {
  readonly kind: "grid";
  readonly of: "walls";
}

/** A possible cause of an open joint in a cell: a ramp, stop, lean or thickness in its state when the cell was cut; the cell's grid; or one of its pieces by itself. */
export type CauseId = SourceId | GridId | WallsId | PieceId;

/** Whether two causes are the same. */
export const sameCause = (a: CauseId, b: CauseId): boolean => causeKey(a) === causeKey(b);

/** A string unique to the cause, for maps; never shown. */
export const causeKey = (id: CauseId): string => JSON.stringify([id.kind, id.of]);

/** The name of a cause for people: `ramp of point-45`, `hinge-2 itself`. */
export function causeText(id: CauseId): string {
  if (id.kind === "piece") return `${id.of} itself`;
  if (id.kind === "grid" && id.of === "walls") return "walls of the grid";
  return sourceText(id as SourceId | GridId);
}

/** The errors of a cell, divided among their causes. */
export interface ErrorShares {
  readonly ids: readonly CauseId[];
  /**
   * Elementary errors by cause, rad and mm, row-major (cause, error); the rows add up to the errors of the cell.
   *
   * @param sources rad and mm; `latents` the cut-to-cut errors of the cell's trial, standardised.
   */
  of(sources: Float64Array, latents: Float64Array): Float64Array;
  /** Change of each elementary error by one rad or mm of each cause; `null` for causes that do not belong to a jig, a stop or the batch. */
  readonly directions: readonly (Float64Array | null)[];
  /** The state of each ramp, stop, lean or thickness when the cell was cut, rad or mm: its error plus the earlier moves and their re-setting errors; 0 for other causes. */
  statesOf(sources: Float64Array): Float64Array;
}

/** Divides the errors of a cell that was read among their causes. */
export function errorShares(job: Job, cell: CellRead, sources: readonly Source[]): ErrorShares {
  const { specimen, latent } = cell.part;
  const size = specimen.known.length;
  const columns = sources.map((_, s) => columnOf(specimen.matrix, s, sources.length));
  const shared = sharedCauses(job, cell, sources, columns);
  const walls = wallCauses(cell);
  const pieces = specimen.cell.pieces.map(({ name }): PieceId => ({ kind: "piece", of: name }));
  const ids: CauseId[] = [...shared.map(({ id }) => id), ...walls.map(({ id }) => id), ...pieces];
  const rowOfOwner = new Map(pieces.map(({ of }, k) => [of, shared.length + walls.length + k]));
  const none = new Float64Array(sources.length);
  return {
    ids,
    directions: ids.map((_, k) => {
      const [first = -1] = shared[k]?.members ?? [];
      return columns[first] ?? null;
    }),
    of(values, latents) {
      const out = new Float64Array(ids.length * size);
      for (const [k, { known, members }] of shared.entries()) {
        const row = rowOf(out, k, size);
        row.set(known);
        for (const s of members) addScaled(row, at(columns, s), at(values, s));
      }
      const own = minus(partErrors(specimen, latent, none, latents), specimen.known);
      for (const [e, { owner }] of errorLayout(specimen.cell).entries.entries()) {
        const row = rowOfOwner.get(owner);
        if (row === undefined) continue;
        out[row * size + e] = at(own, e);
        own[e] = 0;
      }
      for (const [k, { direction }] of walls.entries()) {
        const row = rowOf(out, shared.length + k, size);
        const part =
          direction === null ? 1 : innerProduct(own, direction) / innerProduct(direction, direction);
        addScaled(row, direction ?? own, part);
        addScaled(own, row, -1);
      }
      return out;
    },
    statesOf: (values) =>
      Float64Array.from(ids, (_, k) => {
        const cause = shared[k];
        return cause ? cause.members.reduce((sum, s) => sum + at(values, s), cause.moved) : 0;
      }),
  };
}

interface SharedCause {
  readonly id: SourceId;
  /** The sources that it consists of: its own error and the re-setting errors of its moves. */
  readonly members: readonly number[];
  /** Changes by the known moves: of the cell's errors, and of the cause itself, rad or mm. */
  readonly known: Float64Array;
  readonly moved: number;
}

/** Every ramp, stop, lean and thickness that acts on the cell, with the known moves made before it was cut. */
function sharedCauses(
  job: Job,
  { round }: CellRead,
  sources: readonly Source[],
  columns: readonly Float64Array[],
): SharedCause[] {
  const before = job.rounds.slice(0, job.rounds.findIndex(({ name }) => name === round) + 1);
  const moves = before.flatMap((one) => one.moves);
  const leans = job.jigs.flatMap(({ name, lean }): SourceId[] => (lean ? [{ kind: "lean", of: name }] : []));
  const all = [
    ...sources.map(({ id: { kind, of } }): SourceId => ({ kind, of })),
    ...moves.map(({ source: { kind, of } }): SourceId => ({ kind, of })),
    ...leans,
  ];
  const ids = [...new Map(all.map((id) => [sourceKey(id), id])).values()];
  const cells = new JobCells();
  return ids.flatMap((id): SharedCause[] => {
    const members = sources.flatMap(({ id: { kind, of } }, s) =>
      sameSource({ kind, of }, id) && at(columns, s).some((slope) => slope !== 0) ? [s] : [],
    );
    const known = cellSpecimen(onlyKnown(job, id), cells, round).known;
    if (members.length === 0 && known.every((value) => value === 0)) return [];
    const moved = moves.reduce((sum, { source, by }) => sum + (sameSource(source, id) ? by : 0), 0);
    return [{ id, members, known, moved }];
  });
}

/** The job with the known moves and the known lean of one source only. */
const onlyKnown = (job: Job, id: SourceId): Job => ({
  ...job,
  rounds: job.rounds.map((round) => ({
    ...round,
    moves: round.moves.filter(({ source }) => sameSource(source, id)),
  })),
  jigs: job.jigs.map((jig) =>
    !jig.lean || (id.kind === "lean" && id.of === jig.name)
      ? jig
      : { ...jig, lean: { ...jig.lean, priorMean: 0 } },
  ),
});

/** A racked grid, an opening out of size, and the remainder of the walls' errors (direction `null`). */
function wallCauses({ part }: CellRead): { id: GridId | WallsId; direction: Float64Array | null }[] {
  const { cell, betweenCutSd } = part.specimen;
  const places = errorLayout(cell).entries.map(({ kind }) => kind === "turn" || kind === "offset");
  if (!places.some((wall, e) => wall && at(betweenCutSd, e) > 0)) return [];
  const directions = [
    { id: { kind: "grid", of: "racking" } as const, direction: rackedGrid(cell) },
    { id: { kind: "grid", of: "opening" } as const, direction: smallOpening(cell) },
  ].filter(({ direction }) => direction.some((slope, e) => slope !== 0 && at(betweenCutSd, e) > 0));
  return [...directions, { id: { kind: "grid", of: "walls" }, direction: null }];
}
