import type { Geom } from "polyclip-ts";
import type { Corners } from "./own-outlines.js";

/** What is used of the library polyclip-ts, which knows nothing of this project. */
export type PolygonLibrary = Pick<
  typeof import("polyclip-ts"),
  "union" | "intersection" | "difference" | "setPrecision"
>;

type Ring = readonly (readonly [number, number])[];

/** Area of a ring by the shoelace formula, unsigned, counted from its first corner so that small areas far from the origin keep their digits. */
function ringArea(ring: Ring): number {
  const [ox, oy] = ring[0] ?? [0, 0];
  const twice = ring.reduce((sum, [x, y], i) => {
    const [u, v] = ring[(i + 1) % ring.length]!;
    return sum + (x - ox) * (v - oy) - (u - ox) * (y - oy);
  }, 0);
  return Math.abs(twice) / 2;
}

const ringOf = (corners: Corners): [number, number][] => corners.map(({ x, y }) => [x, y]);
const geometryOf = (corners: Corners): Geom => [ringOf(corners)];

export const areaOf = (corners: Corners): number => ringArea(ringOf(corners));

const areaOfAll = (polygons: readonly (readonly Ring[])[]): number =>
  polygons.reduce(
    (sum, [outer, ...holes]) =>
      sum + ringArea(outer!) - holes.reduce((inner, hole) => inner + ringArea(hole), 0),
    0,
  );

/** Points nearer than this count as one, mm: without it the library stumbles over edges that nearly coincide. */
const SAME = 1e-10;

function snapped<T>({ setPrecision }: PolygonLibrary, compute: () => T): T {
  setPrecision(SAME);
  try {
    return compute();
  } finally {
    setPrecision();
  }
}

export function unionArea(library: PolygonLibrary, polygons: readonly Corners[]): number {
  const [first, ...rest] = polygons.map(geometryOf);
  return areaOfAll(snapped(library, () => library.union(first!, ...rest)));
}

/** Area that both cover. */
export const commonArea = (library: PolygonLibrary, a: Corners, b: Corners): number =>
  areaOfAll(snapped(library, () => library.intersection(geometryOf(a), geometryOf(b))));

/** Area of `a` that none of the others covers. */
export const areaLeft = (library: PolygonLibrary, a: Corners, others: readonly Corners[]): number =>
  areaOfAll(
    snapped(library, () =>
      others.reduce(
        (left, other) => (left.length > 0 ? library.difference(left, geometryOf(other)) : left),
        [[ringOf(a)]],
      ),
    ),
  );
