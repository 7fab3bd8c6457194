import type { Geom } from "polyclip-ts";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import type { Cell, Joint } from "../../../src/model/cell/cell.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { ORDINARY, randomErrors, squareCell } from "./cells.js";
import { compareRows, type Outcome, type Row, skipRows } from "./check.js";
import { cross, faceLine, type Line, logLogSlope, minus, type Point, unit } from "./seating-exact.js";
import { installed } from "./seating-programme.js";

const SOURCE = { document: "polyclip-ts", place: "a polygon library", kind: "other library" } as const;
const CELLS = 3;
/** Half the width of the band about a joint, mm, at ordinary errors: no face has moved that far. */
const BAND = 0.6;
/** Shares of ordinary errors. */
const SHARES = [1 / 2, 1 / 4, 1 / 8, 1 / 16];
/** The share at which the areas themselves are compared, and how nearly they must agree. */
const SMALL = 1 / 2048;
const NEAR = 0.005;

interface Areas {
  /** Of all joints at the smallest errors, mm²: by the library, and from the gaps. */
  readonly library: number;
  readonly ours: number;
  /** By how much joint by joint they part at each of {@link SHARES}, summed, mm². */
  readonly off: readonly number[];
}
interface Findings {
  readonly open: Areas;
  readonly press: Areas;
}

/** Voids and overlaps of the solved cells as a polygon library finds them, against the areas that the gaps speak of. */
export async function checks(load = () => import("polyclip-ts"), seed = 1): Promise<Outcome[]> {
  const library = await installed(load);
  if (!library) return skipRows("area", SOURCE, rowsOf(null, seed), "polyclip-ts");
  return compareRows("area", SOURCE, rowsOf(library, seed));
}

/**
 * Areas are summed over all cells. A joint that is open or pressed by no more than the next order of the errors has no power of its own, and there are cells with no other press;
 * in the sum such joints count for nothing, whatever the seed.
 */
function rowsOf(library: PolygonLibrary | null, seed: number): Row[] {
  const cell = squareCell(60, 3);
  const stream = createStream(seed);
  const found = Array.from({ length: CELLS }, () => randomErrors(cell, stream, ORDINARY)).map((errors) =>
    library ? findings(library, cell, errors) : null,
  );
  return [
    ...nominalRows(cell, library),
    ...(["open", "press"] as const).flatMap((kind): Row[] => {
      const what = kind === "open" ? "openings" : "overlaps";
      const over = (pick: (areas: Areas) => number): number =>
        found.reduce((sum, one) => sum + (one ? pick(one[kind]) : 0), 0);
      const known = over(({ library }) => library);
      const off = SHARES.map((_, k) => over(({ off }) => off[k]!));
      return [
        [
          kind,
          `area of the ${what} along the joints of ${CELLS} cells, 1/2048 of ordinary errors, mm²`,
          known,
          over(({ ours }) => ours),
          NEAR * known,
        ],
        [
          `${kind}-power`,
          `power of the errors with which both part, summed over joints and cells, ${what}`,
          2,
          library ? logLogSlope(SHARES, off) : 0,
          0.1,
        ],
      ];
    }),
  ];
}

/** At nominal size nothing overlaps: the pieces' areas add up to the area of their union. */
function nominalRows(cell: Cell, library: PolygonLibrary | null): Row[] {
  const outlines = library ? [...outlinesOf(cell, new Float64Array(71), new Float64Array(21)).values()] : [];
  const pieces = outlines.slice(0, cell.pieces.length);
  return [
    [
      "nominal",
      "area of the pieces' union at nominal size, mm², against the sum of their areas",
      library ? unionArea(library, pieces) : 0,
      pieces.reduce((sum, corners) => sum + areaOf(corners), 0),
      1e-6,
    ],
  ];
}

/** Outlines of pieces, then of walls, by name. */
function outlinesOf(cell: Cell, errors: Float64Array, pose: Float64Array): Map<string, Corners> {
  return new Map([...pieceOutlines(cell, errors, pose), ...wallOutlines(cell, errors, cell.strip)]);
}

function findings(library: PolygonLibrary, cell: Cell, errors: Float64Array): Findings {
  const at = (share: number): JointAreas[] =>
    jointAreas(
      library,
      cell,
      errors.map((e) => share * e),
      share * BAND,
    );
  const [atShares, small] = [SHARES.map(at), at(SMALL)];
  const { openArea } = predictCell(
    cell,
    errors.map((e) => SMALL * e),
  );
  const areas = (kind: "open" | "press"): Areas => {
    return {
      library: small.reduce((sum, joint) => sum + joint[kind], 0),
      ours: kind === "open" ? openArea : small.reduce((sum, joint) => sum + joint.ours.press, 0),
      off: atShares.map((joints) =>
        joints.reduce((sum, joint) => sum + Math.abs(joint[kind] - joint.ours[kind]), 0),
      ),
    };
  };
  return { open: areas("open"), press: areas("press") };
}

interface JointAreas {
  readonly open: number;
  readonly press: number;
  readonly ours: { readonly open: number; readonly press: number };
}

/**
 * Of each joint: the void in a band about its line from toe to heel, wide enough for both faces, which at nominal size is full of wood; and the area that its two bodies share.
 * Both go with the square of the errors where neighbouring joints meet, so they agree with the gaps to first order and no further.
 */
function jointAreas(library: PolygonLibrary, cell: Cell, errors: Float64Array, half: number): JointAreas[] {
  const { probes, rest } = predictCell(cell, errors, { order: "exact" });
  const outlines = outlinesOf(cell, errors, rest.pose);
  const bodies = [...outlines.values()];
  return cell.joints.map((joint, i) => {
    const [toe, heel] = [probes[2 * i]!.gap, probes[2 * i + 1]!.gap];
    // In units of the band's half width, from the toe: the library takes points nearer than a fixed length for one.
    const local = (p: Point): Point => ({ x: (p.x - joint.toe.x) / half, y: (p.y - joint.toe.y) / half });
    const band = bandAbout(joint, half).map(local);
    const [first, mate] = [joint.first, joint.mate].map((face) => outlines.get(bodyOf(cell, face))!);
    return {
      open:
        half ** 2 *
        areaLeft(
          library,
          band,
          bodies.map((corners) => corners.map(local)),
        ),
      press: half ** 2 * commonArea(library, first!.map(local), mate!.map(local)),
      ours: { open: joint.length * meanOpen(toe, heel), press: joint.length * meanOpen(-toe, -heel) },
    };
  });
}

const bodyOf = (cell: Cell, face: number): string => cell.faces[face]!.name.split(".")[0]!;

function bandAbout({ toe, heel, length }: Joint, half: number): Point[] {
  const across = { x: (-half * (heel.y - toe.y)) / length, y: (half * (heel.x - toe.x)) / length };
  const beside = (p: Point, side: number): Point => ({ x: p.x + side * across.x, y: p.y + side * across.y });
  return [beside(toe, -1), beside(heel, -1), beside(heel, 1), beside(toe, 1)];
}

/** Mean of the positive part of a gap that runs straight from `a` to `b`. */
function meanOpen(a: number, b: number): number {
  if (Math.min(a, b) >= 0) return (a + b) / 2;
  return Math.max(a, b, 0) ** 2 / (2 * Math.abs(a - b) || 1);
}

/** Corners of a polygon in turn, closed by itself. */
export type Corners = readonly Point[];

/** The outline of every piece under its errors at its pose: a sheet cut by the line of each face ({@link faceLine}), the side with the piece's own origin kept. */
export function pieceOutlines(cell: Cell, errors: Float64Array, pose: Float64Array): Map<string, Corners> {
  return new Map(
    cell.pieces.map(({ name, origin, length }, body) => {
      const own = cell.faces.filter((face) => face.body === body && face.kind !== "pin");
      const middle = { x: origin.x + pose[3 * body]!, y: origin.y + pose[3 * body + 1]! };
      const sheet = [-1, 1, 1, -1].map((sx, k) => ({
        x: middle.x + 2 * length * sx,
        y: middle.y + 2 * length * (k < 2 ? -1 : 1),
      }));
      const corners = own.reduce<Corners>(
        (left, face) => cutBy(left, faceLine(cell, face.name, errors, pose), middle),
        sheet,
      );
      return [name, corners];
    }),
  );
}

/** What lies behind every wall, `depth` mm of it, long enough to reach past its neighbours. */
export function wallOutlines(cell: Cell, errors: Float64Array, depth: number): Map<string, Corners> {
  const noPose = new Float64Array(3 * cell.pieces.length);
  return new Map(
    cell.walls.map(({ name, halfLength, normal }) => {
      const { point, angle } = faceLine(cell, name, errors, noPose);
      const [along, inward] = [unit(angle), unit(normal)];
      const corner = (s: number, d: number): Point => ({
        x: point.x + s * (halfLength + depth) * along.x - d * inward.x,
        y: point.y + s * (halfLength + depth) * along.y - d * inward.y,
      });
      return [name, [corner(-1, 0), corner(1, 0), corner(1, depth), corner(-1, depth)]];
    }),
  );
}

/** The part of a polygon on the same side of a line as `keep`. */
function cutBy(corners: Corners, { point, angle }: Line, keep: Point): Corners {
  const along = unit(angle);
  const side = Math.sign(cross(along, minus(keep, point)));
  const inside = (p: Point): number => side * cross(along, minus(p, point));
  return corners.flatMap((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    const [atA, atB] = [inside(a), inside(b)];
    const share = atA / (atA - atB);
    const where = { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) };
    if (atA >= 0) return atB >= 0 ? [a] : [a, where];
    return atB >= 0 ? [where] : [];
  });
}

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
