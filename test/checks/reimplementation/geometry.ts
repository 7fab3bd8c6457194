import type { Shop } from "./shop.js";

export type Vec = readonly [number, number];

/** A cut of a piece: end s, side σ, jig angle J, reach a. A square end is cut without error. */
export interface Cut {
  readonly face: string;
  readonly s: 1 | -1;
  readonly side: 1 | -1;
  readonly J: number;
  readonly a: number;
  readonly role: "point" | "mitre" | "seat" | "square";
  readonly group: string;
}

export interface Piece {
  readonly name: string;
  readonly origin: Vec;
  readonly axis: number;
  readonly length: number;
  readonly cuts: readonly Cut[];
}

export interface Wall {
  readonly name: string;
  readonly middle: Vec;
  readonly normal: number;
  readonly half: number;
}

export interface Layout {
  readonly strip: number;
  readonly pieces: readonly Piece[];
  readonly walls: readonly Wall[];
  readonly pins: readonly { readonly piece: number; readonly at: Vec; readonly direction: number }[];
  readonly unpressed: readonly string[];
  /** The wall that a reference turns. */
  readonly reference?: string;
}

export const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1];
export const unit = (angle: number): Vec => [Math.cos(angle), Math.sin(angle)];
export const along = (from: Vec, angle: number, by: number): Vec => [
  from[0] + by * Math.cos(angle),
  from[1] + by * Math.sin(angle),
];
const RIGHT = Math.PI / 2;

function cut(face: string, role: Cut["role"], group: string, J: number, a: number): Cut {
  return {
    face,
    role,
    group,
    J,
    a,
    s: face.startsWith("end") ? 1 : -1,
    side: face.endsWith("left") ? 1 : -1,
  };
}

const point = (end: "start" | "end", group: string, J: number, a: number): Cut[] => [
  cut(`${end}-left`, "point", group, J, a),
  cut(`${end}-right`, "point", group, J, a),
];

/** The square asanoha cell. */
export function squareCell({
  opening: L,
  strip: t,
  share,
}: Pick<Shop, "opening" | "strip" | "share">): Layout {
  const legs = L - t / Math.SQRT2;
  const r = legs * (1 - 1 / Math.SQRT2);
  const [upper, lower]: [Vec, Vec] = [
    [r, L - r],
    [L - r, r],
  ];
  const bevel = Math.PI / 8;
  const m = (share - 0.5) * t * Math.tan(bevel);
  const towards = (name: string, start: Vec, centre: Vec, length: (D: number) => number) => {
    const axis = Math.atan2(centre[1] - start[1], centre[0] - start[0]);
    const D = Math.hypot(centre[0] - start[0], centre[1] - start[1]);
    return { name, axis, D, length: length(D), origin: along(start, axis, length(D) / 2) };
  };
  const hinge = (name: string, start: Vec, centre: Vec, seat: "left" | "right"): Piece => {
    const { D, ...piece } = towards(name, start, centre, (distance) => distance - m);
    const mitre = seat === "left" ? "right" : "left";
    const cuts = [
      ...point("start", "hinge.point", 67.5 * (Math.PI / 180), piece.length / 2),
      cut(`end-${seat}`, "seat", "hinge.seat", bevel, (D - 3 * m) / 2),
      cut(`end-${mitre}`, "mitre", "hinge.mitre", bevel, (D + m) / 2),
    ];
    return { ...piece, cuts };
  };
  const key = (name: string, start: Vec, centre: Vec): Piece => {
    const { D: _, ...piece } = towards(
      name,
      start,
      centre,
      (distance) => distance + ((share - 0.5) * t) / Math.cos(bevel),
    );
    const half = piece.length / 2;
    return {
      ...piece,
      cuts: [
        ...point("start", "key.start", Math.PI / 4, half),
        ...point("end", "key.end", Math.PI / 4, half),
      ],
    };
  };
  const wall = (name: string, x: number, y: number, degrees: number): Wall => ({
    name,
    middle: [x, y],
    normal: (degrees * Math.PI) / 180,
    half: L / 2,
  });
  const length = Math.SQRT2 * L;
  return {
    strip: t,
    walls: [
      wall("wall-left", 0, L / 2, 0),
      wall("wall-bottom", L / 2, 0, 90),
      wall("wall-top", L / 2, L, -90),
      wall("wall-right", L, L / 2, 180),
    ],
    pieces: [
      {
        name: "diagonal",
        origin: [L / 2, L / 2],
        axis: Math.PI / 4,
        length,
        cuts: [
          ...point("start", "diagonal.start", Math.PI / 4, length / 2),
          ...point("end", "diagonal.end", Math.PI / 4, length / 2),
        ],
      },
      hinge("hinge-1", [0, t / Math.SQRT2], upper, "left"),
      hinge("hinge-2", [legs, L], upper, "right"),
      key("key-1", [0, L], upper),
      hinge("hinge-3", [t / Math.SQRT2, 0], lower, "right"),
      hinge("hinge-4", [L, legs], lower, "left"),
      key("key-2", [L, 0], lower),
    ],
    pins: [],
    unpressed: [],
  };
}

/** A bench for a trial piece cut at the angle J. */
export function bench(name: string, { strip: t, share }: Shop, J: number): Layout {
  const stub = 12 * t;
  const none = { strip: t, pins: [], unpressed: [] };
  const square = (face: string): Cut => cut(face, "square", "", 0, stub / 2);
  const pointed = (piece: string, axis: number): Piece => ({
    name: piece,
    axis,
    length: stub,
    origin: along([0, 0], axis, stub / 2),
    cuts: [...point("start", "trial", J, stub / 2), square("end-left")],
  });
  if (name.startsWith("corner-")) {
    const edge = (side: "left" | "right", angle: number): Wall => ({
      name: `reference-${side}`,
      middle: along([0, 0], angle, stub / 2),
      half: stub / 2,
      normal: side === "left" ? angle - RIGHT : angle + RIGHT,
    });
    return {
      ...none,
      walls: [edge("left", RIGHT - J), edge("right", J - RIGHT)],
      pieces: [pointed("point", 0)],
      reference: "reference-left",
    };
  }
  if (name === "straightedge")
    return {
      ...none,
      walls: [
        { name: "fence", middle: [0, -t / 2], normal: RIGHT, half: stub },
        { name: "straightedge", middle: [stub / 2, 0], normal: J + Math.PI, half: stub },
      ],
      pieces: [
        {
          name: "bevel",
          axis: 0,
          length: stub,
          origin: [0, 0],
          cuts: [square("start-left"), cut("end-left", "mitre", "trial", J, stub / 2)],
        },
      ],
      reference: "straightedge",
    };
  if (name === "mitre-pair") {
    const off = (share - 0.5) * t;
    const m = off * Math.tan(J);
    const end = (piece: string, axis: number, mitre: 1 | -1): Piece => {
      const [own, other] = mitre === 1 ? ["end-left", "end-right"] : ["end-right", "end-left"];
      const onAxis = along([0, 0], axis + RIGHT, -mitre * off);
      return {
        name: piece,
        axis,
        length: stub,
        origin: along(onAxis, axis, -stub / 2),
        cuts: [
          square("start-left"),
          cut(own, "mitre", "trial", J, stub / 2 + m),
          cut(other, "seat", "trial", J, stub / 2 - m),
        ],
      };
    };
    const [a, b] = [end("hinge-a", J, -1), end("hinge-b", Math.PI - J, 1)];
    const fence = (wall: string, { origin, axis }: Piece, side: 1 | -1): Wall => ({
      name: wall,
      middle: along(origin, axis + side * RIGHT, t / 2),
      half: stub / 2,
      normal: axis + side * RIGHT + Math.PI,
    });
    return {
      ...none,
      pieces: [a, b],
      walls: [fence("fence-a", a, -1), fence("fence-b", b, 1)],
      pins: [{ piece: 0, at: a.origin, direction: a.axis }],
      reference: "fence-b",
    };
  }
  if (name !== "reversal") throw new Error(`the bench ${name} is not read here`);
  return {
    ...none,
    walls: [{ name: "line", middle: [0, 0], normal: RIGHT, half: stub / 2 }],
    pieces: [pointed("point-1", Math.PI / 4), pointed("point-2", (3 * Math.PI) / 4)],
    pins: [{ piece: 0, at: [0, 0], direction: 0 }],
    unpressed: ["point-2.start-left|line"],
  };
}

/** A face at nominal size. */
export interface Face {
  readonly name: string;
  /** Index of its piece, −1 for a wall. */
  readonly body: number;
  readonly kind: "cut" | "side" | "wall" | "pin";
  readonly origin: Vec;
  readonly normal: number;
  readonly offset: number;
  readonly cut?: Cut;
}

export interface Probe {
  readonly joint: string;
  readonly at: "toe" | "heel" | "pin";
  readonly place: Vec;
  readonly first: number;
  readonly mate: number;
  readonly weight: number;
}

/** Faces of pieces and walls, sides before cuts. */
export function facesOf({ pieces, walls, strip }: Layout): Face[] {
  return [
    ...walls.map(
      ({ name, middle, normal }): Face => ({
        name,
        body: -1,
        kind: "wall",
        origin: middle,
        normal,
        offset: 0,
      }),
    ),
    ...pieces.flatMap(({ name, origin, axis, cuts }, body): Face[] => [
      ...([1, -1] as const).map(
        (side): Face => ({
          name: `${name}.${side === 1 ? "left" : "right"}`,
          body,
          kind: "side",
          origin,
          normal: axis + side * RIGHT,
          offset: strip / 2,
        }),
      ),
      ...cuts.map(
        (one): Face => ({
          name: `${name}.${one.face}`,
          body,
          kind: "cut",
          origin,
          cut: one,
          normal: axis + (one.s === 1 ? one.side * one.J : Math.PI - one.side * one.J),
          offset: one.a * Math.cos(one.J),
        }),
      ),
    ]),
  ];
}

/** The segment of a face that bounds its piece: two places along the direction normal + 90°, from a place on the line. */
function segmentOf(face: Face, faces: readonly Face[], walls: readonly Wall[]): [Vec, Vec] {
  if (face.body < 0) {
    const { half } = walls.find(({ name }) => name === face.name) ?? { half: 0 };
    return [along(face.origin, face.normal + RIGHT, -half), along(face.origin, face.normal + RIGHT, half)];
  }
  const on = along(face.origin, face.normal, face.offset);
  const tangent = unit(face.normal + RIGHT);
  let [low, high] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (const other of faces) {
    if (other === face || other.body !== face.body) continue;
    const n = unit(other.normal);
    const slope = dot(n, tangent);
    const room = other.offset - dot(n, [on[0] - other.origin[0], on[1] - other.origin[1]]);
    if (slope > 1e-9) high = Math.min(high, room / slope);
    else if (slope < -1e-9) low = Math.max(low, room / slope);
  }
  return [along(on, face.normal + RIGHT, low), along(on, face.normal + RIGHT, high)];
}

const RANK = { point: 0, mitre: 1, seat: 2, square: 3 };
const rankOf = ({ cut: own, kind }: Face): number => (own ? RANK[own.role] : kind === "side" ? 4 : 5);

/** The probes of a layout: toe and heel of every joint, then the pins. Pins add faces. */
export function probesOf(layout: Layout, faces: Face[]): Probe[] {
  const { strip, walls, pieces } = layout;
  const segments = faces.map((face) => segmentOf(face, faces, walls));
  const probes: Probe[] = [];
  for (const [i, a] of faces.entries())
    for (const [j, b] of faces.entries()) {
      if (j <= i || a.body === b.body) continue;
      const [first, mate] = rankOf(b) < rankOf(a) ? [j, i] : [i, j];
      const ends = overlapOf(
        at(faces, first),
        at(segments, first),
        at(faces, mate),
        at(segments, mate),
        strip,
      );
      if (ends === null) continue;
      const own = at(faces, first);
      const joint = `${own.name}|${at(faces, mate).name}`;
      const [toe, heel] = toeFirst(own, ends, at(pieces, own.body).axis, strip);
      const length = Math.hypot(heel[0] - toe[0], heel[1] - toe[1]);
      const weight = (layout.unpressed.includes(joint) ? 1e-6 : 1) * (length / 2);
      probes.push({ joint, at: "toe", place: toe, first, mate, weight });
      probes.push({ joint, at: "heel", place: heel, first, mate, weight });
    }
  for (const { piece, at: place, direction } of layout.pins) {
    const { origin } = at(pieces, piece);
    const offset = dot(unit(direction), [place[0] - origin[0], place[1] - origin[1]]);
    faces.push({ name: "pin", kind: "pin", body: piece, origin, normal: direction, offset });
    faces.push({
      name: "ground",
      kind: "pin",
      body: -1,
      origin: place,
      normal: direction + Math.PI,
      offset: 0,
    });
    const last = faces.length;
    probes.push({ joint: "pin", at: "pin", place, first: last - 2, mate: last - 1, weight: 1 });
  }
  return probes;
}

function overlapOf(
  first: Face,
  own: [Vec, Vec],
  mate: Face,
  other: [Vec, Vec],
  strip: number,
): [Vec, Vec] | null {
  const n = unit(first.normal);
  if (dot(n, unit(mate.normal)) > -1 + 1e-10) return null;
  if (Math.abs(dot(n, [other[0][0] - own[0][0], other[0][1] - own[0][1]])) > 1e-7 * strip) return null;
  const tangent = unit(first.normal + RIGHT);
  const place = (p: Vec): number => dot(tangent, [p[0] - own[0][0], p[1] - own[0][1]]);
  const low = Math.max(0, place(other[1]));
  const high = Math.min(place(own[1]), place(other[0]));
  if (high - low <= 1e-7 * strip) return null;
  if (mate.cut?.role === "seat") return own;
  return [along(own[0], first.normal + RIGHT, low), along(own[0], first.normal + RIGHT, high)];
}

function toeFirst(face: Face, ends: [Vec, Vec], axis: number, strip: number): [Vec, Vec] {
  const seen = (p: Vec) => {
    const r: Vec = [p[0] - face.origin[0], p[1] - face.origin[1]];
    return { x: dot(unit(axis), r), y: dot(unit(axis + RIGHT), r) };
  };
  const [a, b] = [seen(ends[0]), seen(ends[1])];
  const level = Math.abs(Math.abs(a.y) - Math.abs(b.y)) < 1e-7 * strip;
  const keep = !level
    ? Math.abs(a.y) < Math.abs(b.y)
    : face.cut
      ? face.cut.side * a.y < face.cut.side * b.y
      : a.x > b.x;
  return keep ? ends : [ends[1], ends[0]];
}

/** An element of a list that is known to be there. */
export function at<T>(list: { readonly [index: number]: T; readonly length: number }, i: number): T {
  const value = list[i];
  if (value === undefined) throw new RangeError(`there is no element ${i} of ${list.length}`);
  return value;
}
