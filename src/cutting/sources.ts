import type { Cut } from "../lattice/arrangement.js";
import type { Cell } from "../lattice/cell.js";
import { errorLayout } from "./error-layout.js";
import type { Fence, Jig, SetUp, Shop } from "./shop.js";

/** An error shared by every cut it acts on: a jig's ramp (rad), a set-up's stop (mm), the thickness of the batch (mm). */
export interface Source {
  /** `ramp of point-45`, `stop of hinge-mitre`, `thickness of the batch`. */
  readonly name: string;
  readonly kind: "ramp" | "stop" | "thickness";
  /** The jig or set-up; empty for the batch. */
  readonly of: string;
  /** Standard deviation before anything was measured, rad or mm. */
  readonly trustedTo: number;
  /** Mean before anything was measured, rad or mm: 0 unless a record of earlier jobs says otherwise. */
  readonly expected?: number;
}

/** Means of the sources before anything was measured. */
export const expectedSources = (sources: readonly Source[]): Float64Array =>
  Float64Array.from(sources, ({ expected = 0 }) => expected);

export const THICKNESS_SOURCE = "thickness of the batch";

/** Every shared source of a shop in a fixed order: ramps, stops, thickness. What is trusted to 0 is right by declaration, and no source of error. */
export function shopSources(shop: Shop): Source[] {
  const all: Source[] = [
    ...shop.jigs.map(
      ({ name, trustedTo, expected = 0 }): Source => ({
        ...{ name: `ramp of ${name}`, kind: "ramp", of: name },
        ...{ trustedTo, expected },
      }),
    ),
    ...shop.setUps.flatMap(({ name, stop }): Source[] => {
      if (stop === null) return [];
      const { trustedTo, expected = 0 } = stop;
      return [{ name: `stop of ${name}`, kind: "stop", of: name, trustedTo, expected }];
    }),
    { name: THICKNESS_SOURCE, kind: "thickness", of: "", trustedTo: shop.batchThickness },
  ];
  return all.filter(({ trustedTo }) => trustedTo > 0);
}

/**
 * How a cell's elementary errors answer to the shared sources: errors = matrix · sources, row-major (error, source).
 *
 * @param setUpOf which set-up makes a cut; cuts without one have no error.
 */
export function sourceMatrix(cell: Cell, shop: Shop, setUpOf: (cut: Cut) => SetUp | undefined): Float64Array {
  const sources = shopSources(shop);
  const layout = errorLayout(cell);
  const matrix = new Float64Array(layout.entries.length * sources.length);
  const column = new Map(sources.map(({ name }, i) => [name, i]));
  const set = (row: number, source: string, value: number): void => {
    const at = column.get(source);
    if (at !== undefined) matrix[row * sources.length + at] = value;
  };
  for (const piece of cell.pieces) {
    set(layout.indexOf("thickness", piece.name), THICKNESS_SOURCE, 1);
    for (const cut of piece.cuts) {
      const setUp = setUpOf(cut);
      if (!setUp) continue;
      const jig = jigOf(shop, setUp);
      set(layout.indexOf("angle", piece.name, cut.face), `ramp of ${jig.name}`, 1);
      const axial = layout.indexOf("axial", piece.name, cut.face);
      if (setUp.stop) set(axial, `stop of ${setUp.name}`, 1);
      set(axial, THICKNESS_SOURCE, fenceShift(jig.fence, cut.jigAngle));
    }
  }
  return matrix;
}

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
