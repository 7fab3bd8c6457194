import type { Cut } from "./cell/arrangement.js";
import type { Cell } from "./cell/cell.js";
import { errorLayout } from "./cell/cell-errors.js";
import { type Fence, jigOf, type KnownMove, type Lean, type SetUp, type Shop } from "./shop.js";
import { BATCH_THICKNESS, isAngular, type SourceId, sameSource, sourceKey } from "./source-id.js";

/** An error shared by every reading it acts on. */
export interface Source {
  readonly id: SourceId;
  /** Whether it is an angle (rad) or a length (mm); for a bias it depends on the instrument. */
  readonly angular: boolean;
  /** Prior standard deviation, rad or mm. */
  readonly priorSd: number;
  /** Prior mean, rad or mm: 0 unless a record of earlier jobs gives another. */
  readonly priorMean?: number;
}

/** Prior means of the sources. */
export const priorMeans = (sources: readonly Source[]): Float64Array =>
  Float64Array.from(sources, ({ priorMean = 0 }) => priorMean);

/**
 * Every shared source of a shop in a fixed order: ramps, stops, thickness, leans, then the errors of known moves, references, instruments.
 * Anything with a prior standard deviation of 0 is declared exact and is not a source.
 */
export function shopSources(shop: Shop): Source[] {
  const { jigs, setUps, batchThickness, rounds = [], references = [], biases } = shop;
  const source = (
    id: SourceId,
    { priorSd, priorMean = 0 }: Pick<Source, "priorSd" | "priorMean">,
    angular = isAngular(id.kind),
  ): Source => ({ id, angular, priorSd, priorMean });
  const all: Source[] = [
    ...jigs.map((jig) => source({ kind: "ramp", of: jig.name }, jig)),
    ...setUps.flatMap(({ name, stop }) => (stop === null ? [] : [source({ kind: "stop", of: name }, stop)])),
    source(BATCH_THICKNESS, { priorSd: batchThickness }),
    ...jigs.flatMap(({ name, lean }) => (lean ? [source({ kind: "lean", of: name }, lean)] : [])),
    ...rounds.flatMap(({ name, moves }) => moves.map((move) => source(missOf(move, name), move))),
    ...references.map((reference) => source({ kind: "reference", of: reference.bench }, reference)),
    ...biases.map(({ instrument, priorSd, angular }) =>
      source({ kind: "bias", of: instrument }, { priorSd }, angular),
    ),
  ];
  return all.filter(({ priorSd }) => priorSd > 0);
}

/** Index of a source in a list; −1 if it is not there. */
export const indexOfSource = (sources: readonly Source[], id: SourceId): number =>
  sources.findIndex((source) => sameSource(source.id, id));

/** The source for the error of a known move. */
export const missOf = ({ source }: Pick<KnownMove, "source">, round: string): SourceId => ({
  ...source,
  round,
});

/** How a specimen's elementary errors follow from the shared sources: errors = known + matrix · sources. */
export interface SourceErrors {
  /** Row-major (error, source). */
  readonly matrix: Float64Array;
  /** The part of each error that comes from known moves and known leans. */
  readonly known: Float64Array;
}

/**
 * How a cell's elementary errors depend on the shared sources of a shop.
 *
 * @param setUpOf the set-up that makes a cut; a cut without one has no error.
 * @param round the round the specimen was cut in; `null` before any known move.
 */
export function sourceErrors(
  cell: Cell,
  shop: Shop,
  setUpOf: (cut: Cut) => SetUp | undefined,
  round: string | null = null,
): SourceErrors {
  const sources = shopSources(shop);
  const directions = sourceDirections(cell, shop, setUpOf);
  const rows = errorLayout(cell).entries.length;
  const matrix = new Float64Array(rows * sources.length);
  const known = new Float64Array(rows);
  const column = (id: SourceId, direction: Float64Array | undefined): void => {
    const at = indexOfSource(sources, id);
    if (at < 0 || !direction) return;
    for (const [row, value] of direction.entries()) matrix[row * sources.length + at] = value;
  };
  const shift = (by: number, direction: Float64Array | undefined): void =>
    direction?.forEach((value, row) => {
      known[row] = (known[row] ?? 0) + by * value;
    });
  for (const { id, direction } of directions.all()) column(id, direction);
  for (const { name, lean } of shop.jigs)
    if (lean && !(lean.priorSd > 0)) shift(lean.priorMean, directions.of({ kind: "lean", of: name }));
  const { rounds = [] } = shop;
  for (const { name, moves } of rounds.slice(0, rounds.findIndex((one) => one.name === round) + 1)) {
    for (const move of moves) {
      const direction = directions.of(move.source);
      column(missOf(move, name), direction);
      shift(move.by, direction);
    }
  }
  return { matrix, known };
}

/** The matrix of `sourceErrors` before any known move: change of each elementary error, rad or mm, per rad or mm of each source. */
export const sourceMatrix = (
  cell: Cell,
  shop: Shop,
  setUpOf: (cut: Cut) => SetUp | undefined,
): Float64Array => sourceErrors(cell, shop, setUpOf).matrix;

/** Change of every elementary error for one rad or mm of each source, by source. */
class SourceDirections {
  readonly #byKey = new Map<string, { readonly id: SourceId; readonly direction: Float64Array }>();
  readonly #rows: number;

  constructor(rows: number) {
    this.#rows = rows;
  }

  set(row: number, id: SourceId, value: number): void {
    const key = sourceKey(id);
    const own = this.#byKey.get(key) ?? { id, direction: new Float64Array(this.#rows) };
    own.direction[row] = value;
    this.#byKey.set(key, own);
  }

  of = (id: SourceId): Float64Array | undefined => this.#byKey.get(sourceKey(id))?.direction;

  all = () => this.#byKey.values();
}

/** The directions of the ramps, stops, leans, the thickness and the reference that act on a cell, including those with a prior standard deviation of 0. */
function sourceDirections(
  cell: Cell,
  shop: Shop,
  setUpOf: (cut: Cut) => SetUp | undefined,
): SourceDirections {
  const layout = errorLayout(cell);
  const directions = new SourceDirections(layout.entries.length);
  for (const piece of cell.pieces) {
    directions.set(layout.indexOf("thickness", piece.name), BATCH_THICKNESS, 1);
    for (const cut of piece.cuts) {
      const setUp = setUpOf(cut);
      if (!setUp) continue;
      const { name: of, lean, fence } = jigOf(shop, setUp);
      directions.set(layout.indexOf("angle", piece.name, cut.face), { kind: "ramp", of }, 1);
      if (lean && cell.depth !== undefined) {
        const row = layout.indexOf("lean", piece.name, cut.face);
        directions.set(row, { kind: "lean", of }, leanSense(lean, cut));
      }
      const axial = layout.indexOf("axial", piece.name, cut.face);
      if (setUp.stop) directions.set(axial, { kind: "stop", of: setUp.name }, 1);
      directions.set(axial, BATCH_THICKNESS, fenceShift(fence, cut.jigAngle));
    }
  }
  if (cell.referenceWall !== undefined) {
    const row = layout.indexOf("turn", cell.referenceWall);
    directions.set(row, { kind: "reference", of: cell.name }, 1);
  }
  return directions;
}

/** Sign of a cut's lean on a jig that leans by +1: −1 where the strip was rolled over for the cut. */
export const leanSense = ({ rolled }: Lean, { side }: Pick<Cut, "side">): 1 | -1 =>
  rolled && side === -1 ? -1 : 1;

/** Axial error of a cut per mm of extra thickness: where the fence bears on the long side of the bevel, a thicker strip crosses the axis earlier. */
export function fenceShift(fence: Fence, jigAngle: number): number {
  if (fence === "centred") return 0;
  return ((fence === "long-side" ? -1 : 1) * Math.tan(jigAngle)) / 2;
}
