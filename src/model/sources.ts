import type { Cut } from "./cell/arrangement.js";
import type { Cell } from "./cell/cell.js";
import { errorLayout } from "./cell/cell-errors.js";
import type { Fence, Jig, Lean, SetUp, Shop } from "./shop.js";

/**
 * An error shared by every reading it acts on: a jig's ramp (rad) and its lean (rad), a set-up's stop (mm), the thickness of the batch (mm), what a known move missed by
 * (as the source it moved), the angle of a bench's reference (rad), what an instrument adds (mm or rad).
 */
export interface Source {
  /** `ramp of point-45`, `lean of point-45`, `stop of hinge-mitre`, `thickness of the batch`, `move of the ramp of point-45 in round-2`. */
  readonly name: string;
  readonly kind: "ramp" | "lean" | "stop" | "thickness" | "move" | "reference" | "bias";
  /** The jig, set-up, round, bench or instrument; empty for the batch. */
  readonly of: string;
  /** Whether it is an angle (rad) or a length (mm). */
  readonly angular: boolean;
  /** Standard deviation before anything was measured, rad or mm. */
  readonly priorSd: number;
  /** Mean before anything was measured, rad or mm: 0 unless a record of earlier jobs says otherwise. */
  readonly priorMean?: number;
}

/** Means of the sources before anything was measured. */
export const priorMeans = (sources: readonly Source[]): Float64Array =>
  Float64Array.from(sources, ({ priorMean = 0 }) => priorMean);

export const THICKNESS_SOURCE = "thickness of the batch";

/**
 * Every shared source of a shop in a fixed order: ramps, stops, thickness, leans, then what the known moves missed by, references, instruments.
 * What is trusted to 0 is right by declaration, and no source of error.
 */
export function shopSources(shop: Shop): Source[] {
  const { jigs, setUps, batchThickness, rounds = [], references = [], biases = [] } = shop;
  const lasting: Source[] = [
    ...jigs.map(
      ({ name, priorSd, priorMean = 0 }): Source => ({
        ...{ name: `ramp of ${name}`, kind: "ramp", of: name, angular: true },
        ...{ priorSd, priorMean },
      }),
    ),
    ...setUps.flatMap(({ name, stop }): Source[] => {
      if (stop === null) return [];
      const { priorSd, priorMean = 0 } = stop;
      return [{ name: `stop of ${name}`, kind: "stop", of: name, angular: false, priorSd, priorMean }];
    }),
    { name: THICKNESS_SOURCE, kind: "thickness", of: "", angular: false, priorSd: batchThickness },
    ...jigs.flatMap(({ name, lean }): Source[] => {
      if (!lean) return [];
      const { priorSd, priorMean } = lean;
      return [{ name: leanName(name), kind: "lean", of: name, angular: true, priorSd, priorMean }];
    }),
  ];
  const all: Source[] = [
    ...lasting,
    ...rounds.flatMap(({ name, moves }) =>
      moves.map(({ source, priorSd }): Source => {
        const angular = source.startsWith("ramp");
        return { name: moveName(source, name), kind: "move", of: name, angular, priorSd };
      }),
    ),
    ...references.map(
      ({ bench, priorSd }): Source => ({
        ...{ name: `reference of ${bench}`, kind: "reference", of: bench, angular: true, priorSd },
      }),
    ),
    ...biases.map(
      ({ instrument, priorSd }): Source => ({
        ...{ name: `bias of ${instrument}`, kind: "bias", of: instrument, angular: false, priorSd },
      }),
    ),
  ];
  return all.filter(({ priorSd }) => priorSd > 0);
}

const leanName = (jig: string): string => `lean of ${jig}`;

export const moveName = (source: string, round: string): string => `move of the ${source} in ${round}`;

/** How a specimen's elementary errors come from the shared sources: errors = known + matrix · sources. */
export interface SourceErrors {
  /** Row-major (error, source). */
  readonly matrix: Float64Array;
  /** What the known moves have changed and how far jigs are known to lean, one for each error. */
  readonly known: Float64Array;
}

/**
 * How a cell's elementary errors answer to the shared sources of a shop.
 *
 * @param setUpOf which set-up makes a cut; cuts without one have no error.
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
  const column = (source: string, direction: Float64Array | undefined): void => {
    const at = sources.findIndex(({ name }) => name === source);
    if (at < 0 || !direction) return;
    for (const [row, value] of direction.entries()) matrix[row * sources.length + at] = value;
  };
  for (const [source, direction] of directions) column(source, direction);
  for (const { name, lean } of shop.jigs) {
    if (!lean || lean.priorSd > 0) continue;
    for (const [row, value] of directions.get(leanName(name))?.entries() ?? [])
      known[row]! += lean.priorMean * value;
  }
  const { rounds = [] } = shop;
  for (const { name, moves } of rounds.slice(0, rounds.findIndex((one) => one.name === round) + 1)) {
    for (const { source, by } of moves) {
      const direction = directions.get(source);
      column(moveName(source, name), direction);
      for (const [row, value] of direction?.entries() ?? []) known[row]! += by * value;
    }
  }
  return { matrix, known };
}

/** The matrix of {@link sourceErrors} before any known move: each elementary error, rad or mm, by one rad or mm of each source. */
export const sourceMatrix = (
  cell: Cell,
  shop: Shop,
  setUpOf: (cut: Cut) => SetUp | undefined,
): Float64Array => sourceErrors(cell, shop, setUpOf).matrix;

/** Wall of a bench that its reference's angle turns. */
const REFERENCE_WALL: Readonly<Record<string, string>> = {
  straightedge: "straightedge",
  "mitre-pair": "fence-b",
};

/** Change of every elementary error by each lasting source, whether or not it is trusted to 0. */
function sourceDirections(
  cell: Cell,
  shop: Shop,
  setUpOf: (cut: Cut) => SetUp | undefined,
): Map<string, Float64Array> {
  const layout = errorLayout(cell);
  const directions = new Map<string, Float64Array>();
  const set = (row: number, source: string, value: number): void => {
    const direction = directions.get(source) ?? new Float64Array(layout.entries.length);
    direction[row] = value;
    directions.set(source, direction);
  };
  for (const piece of cell.pieces) {
    set(layout.indexOf("thickness", piece.name), THICKNESS_SOURCE, 1);
    for (const cut of piece.cuts) {
      const setUp = setUpOf(cut);
      if (!setUp) continue;
      const jig = jigOf(shop, setUp);
      set(layout.indexOf("angle", piece.name, cut.face), `ramp of ${jig.name}`, 1);
      if (jig.lean && cell.depth !== undefined)
        set(layout.indexOf("lean", piece.name, cut.face), leanName(jig.name), leanSense(jig.lean, cut));
      const axial = layout.indexOf("axial", piece.name, cut.face);
      if (setUp.stop) set(axial, `stop of ${setUp.name}`, 1);
      set(axial, THICKNESS_SOURCE, fenceShift(jig.fence, cut.jigAngle));
    }
  }
  const wall = /^corner-\d/.test(cell.name) ? "reference-left" : REFERENCE_WALL[cell.name];
  // A pattern may be called like a bench; its walls are not.
  if (cell.walls.some(({ name }) => name === wall))
    set(layout.indexOf("turn", wall!), `reference of ${cell.name}`, 1);
  return directions;
}

/** Which way a cut leans on a jig that leans by +1: the other way where the strip was rolled over for it. */
export const leanSense = ({ rolled }: Lean, { side }: Pick<Cut, "side">): 1 | -1 =>
  rolled && side === -1 ? -1 : 1;

export function jigOf(shop: Shop, setUp: SetUp): Jig {
  const jig = shop.jigs.find(({ name }) => name === setUp.jig);
  if (!jig)
    throw new RangeError(`The set-up ${setUp.name} names a jig "${setUp.jig}" that there is none of.`);
  return jig;
}

/** The set-up that makes a cut of the pattern. */
export function setUpByGroup(shop: Shop): (cut: Cut) => SetUp | undefined {
  const byGroup = new Map(shop.setUps.flatMap((setUp) => setUp.cuts.map((group) => [group, setUp])));
  return ({ group }) => byGroup.get(group);
}

/** Axial error of a cut per mm of extra thickness: where the fence bears on the long side of the bevel, a thicker strip crosses the axis earlier. */
export function fenceShift(fence: Fence, jigAngle: number): number {
  if (fence === "centred") return 0;
  return ((fence === "long-side" ? -1 : 1) * Math.tan(jigAngle)) / 2;
}
