import {
  add,
  direction,
  distance,
  dot,
  rotate,
  scale,
  sub,
  turnedLeft,
  type Vec,
  vec,
} from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import type { Piece } from "../../model/cell/arrangement.js";
import type { BenchName } from "../../model/cell/benches.js";
import type { Cell } from "../../model/cell/cell.js";
import { noErrors } from "../../model/cell/cell-errors.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { faceAlone, ownerNamed } from "../../model/cell/face-id.js";
import { shoulderCorners } from "../../model/cell/shoulder.js";
import type { Job } from "../../model/job/job.js";
import { jobBench, jobCell } from "../../model/job/job-cell.js";
import type { Reading } from "../../model/readings.js";
import { setUpNamed } from "../../model/shop.js";
import { cellOutline, type Edge } from "../../physics/predict/predict-cell.js";
import { type View, viewOf, wallBands } from "../../render/cell/cell-panel.js";
import { type Box, boxAround, type NamedShape } from "../../render/cell/labels.js";
import { element, type Html } from "../../render/html.js";
import { FONT, PALETTE, SIZE, STROKE } from "../../render/style.js";
import { circle, dashes, group, label, line, polygon, rect } from "../../render/svg.js";
import { textWidth } from "../../render/text-layout.js";

/** Width of a drawing, px of its viewBox: as small as a phone shows it, so that its letters can be read there. */
const WIDTH = 340;
const TALLEST = 220;
/** Height of the strip that shows where the enlarged part lies, px. */
const OVERVIEW = 150;

/** Outlines at nominal size, mm, and what is marked on them. */
interface Scene {
  readonly pieces: readonly NamedShape[];
  readonly walls: readonly NamedShape[];
  readonly marks: readonly Mark[];
}

type Mark =
  /** The face or joint to be read. */
  | { readonly kind: "along"; readonly edge: Edge }
  /** An end of a joint, or a face, with its name; `wanted` where it is the place to read. */
  | {
      readonly kind: "end";
      readonly at: Vec;
      readonly from: Vec;
      readonly text: string;
      readonly wanted: boolean;
      /** Default: where it is the place to read. */
      readonly ring?: boolean;
    }
  /** A length between two points, drawn `off` mm beside them. */
  | { readonly kind: "length"; readonly edge: Edge; readonly off: Vec; readonly text: string }
  /** The line of a square cut, which an angle is counted from. */
  | { readonly kind: "square"; readonly edge: Edge };

/** What is to be read, drawn with its place marked: markup of an `<svg>` as wide as its column. */
export function placeDrawing(job: Job, reading: Reading, description: string): Html {
  const { bench, what, setUp, subject } = reading;
  if (what === "gap") {
    const cell =
      bench === "cell" || setUp === null
        ? jobCell(job)
        : compileCell(jobBench(job, bench as BenchName, setUpNamed(job, setUp)));
    return gapDrawing(cell, reading, description);
  }
  const cell = jobCell(job);
  const groups = groupsOf(job, reading);
  const piece =
    cell.pieces.find(({ name }) => name === ownerNamed(subject ?? "")) ??
    cell.pieces.find(({ cuts }) => cuts.some(({ group: own }) => groups.includes(own))) ??
    at(cell.pieces, 0);
  return pieceDrawing(cell, piece, { ...reading, groups }, description);
}

/** The groups of cuts that a reading of a piece or a jig is about: those of its set-up, or of every set-up on the jig whose ramp is read. */
const groupsOf = (job: Job, { what, setUp, subject }: Reading): readonly string[] => {
  if (what === "ramp") return job.setUps.flatMap(({ jig, cuts }) => (jig === subject ? cuts : []));
  return setUp === null ? [] : setUpNamed(job, setUp).cuts;
};

/** The cell at nominal size, with nothing marked. */
export function cellPicture(job: Job): Html {
  const scene = sceneOf(jobCell(job), []);
  const view = viewOf(around(scene, job.strip), { width: WIDTH, tallest: WIDTH });
  return picture("One cell at nominal size", view.height, content(scene, view), names(scene, view));
}

const still = (cell: Cell) => cellOutline(cell, noErrors(cell), new Float64Array(3 * cell.pieces.length), 0);

function sceneOf(cell: Cell, marks: readonly Mark[]): Scene {
  const { pieces, walls } = still(cell);
  return { pieces, walls: wallBands(walls, 2 * cell.strip), marks };
}

/** All pieces with a strip of what surrounds them. */
const around = ({ pieces }: Scene, by: number): Box =>
  wider(boxAround(pieces.flatMap(({ corners }) => corners)), by);

const wider = ({ left, right, bottom, top }: Box, by: number): Box => ({
  left: left - by,
  right: right + by,
  bottom: bottom - by,
  top: top + by,
});

/** How far around a joint it is enlarged, in strip thicknesses; a bench is shown further around, because nothing else is shown of it. */
const NEAR = 1.6;
const BENCH = 2.5;

function gapDrawing(cell: Cell, { subject, at: place, bench }: Reading, description: string): Html {
  const joints = cell.joints.filter(({ name }) => subject === null || name === subject);
  const marks = joints.flatMap((joint): Mark[] => {
    const along: Mark = { kind: "along", edge: { from: joint.toe, to: joint.heel } };
    if (subject === null) return [along];
    const ends = (["toe", "heel"] as const).map(
      (end): Mark => ({
        kind: "end",
        at: joint[end],
        from: joint[end === "toe" ? "heel" : "toe"],
        text: end,
        wanted: place === end,
      }),
    );
    return place === "widest" ? [along, ...ends] : ends;
  });
  const scene = sceneOf(cell, marks);
  const joint = wider(boxAround(joints.flatMap(({ toe, heel }) => [toe, heel])), 0);
  if (subject === null) {
    const view = viewOf(around(scene, cell.strip), { width: WIDTH, tallest: WIDTH });
    return picture(description, view.height, content(scene, view), names(scene, view));
  }
  if (bench !== "cell") {
    const view = viewOf(clampTo(wider(joint, BENCH * cell.strip), scene), { width: WIDTH, tallest: TALLEST });
    return picture(description, view.height, content(scene, view), names(scene, view));
  }
  return twoViews(description, scene, around(scene, cell.strip), wider(joint, NEAR * cell.strip));
}

/** No more than there is to see. */
function clampTo(box: Box, { pieces, walls }: Scene): Box {
  const all = boxAround([...pieces, ...walls].flatMap(({ corners }) => corners));
  return {
    left: Math.max(box.left, all.left),
    right: Math.min(box.right, all.right),
    bottom: Math.max(box.bottom, all.bottom),
    top: Math.min(box.top, all.top),
  };
}

/** The whole with the place ringed, and beside it the place enlarged. */
function twoViews(description: string, scene: Scene, whole: Box, part: Box): Html {
  const small = viewOf(whole, { width: OVERVIEW, tallest: TALLEST });
  const large = viewOf(part, { width: WIDTH - OVERVIEW - 12, tallest: TALLEST });
  const height = Math.max(small.height, large.height);
  const middle = vec((part.left + part.right) / 2, (part.bottom + part.top) / 2);
  const ring = circle(small.place(middle), 13, {
    fill: "none",
    stroke: PALETTE.attention,
    "stroke-width": STROKE.mark,
  });
  const frame = rect(0, 0, large.width, large.height, {
    fill: "none",
    stroke: PALETTE.attention,
    "stroke-width": STROKE.mark,
  });
  return picture(
    description,
    height,
    group(
      { transform: `translate(0 ${(height - small.height) / 2})` },
      content({ ...scene, marks: [] }, small),
      ring,
    ),
    group(
      { transform: `translate(${OVERVIEW + 11} ${(height - large.height) / 2})` },
      content(scene, large),
      names(scene, large),
      frame,
    ),
  );
}

/** What is read on a piece, and the groups of cuts that it is about. */
type PieceReading = Pick<Reading, "what" | "subject"> & { readonly groups: readonly string[] };

/** A single piece lying along the page, its start at the left. For a ramp it shows a cut made on its jig, which has the ramp's angle. */
function pieceDrawing(
  cell: Cell,
  piece: Piece,
  { what, subject, groups }: PieceReading,
  description: string,
): Html {
  const own = (p: Vec): Vec => rotate(sub(p, piece.origin), -piece.axis);
  const outline = at(still(cell).pieces, cell.pieces.indexOf(piece));
  const corners = outline.corners.map(own);
  const { left, right } = boxAround(corners);
  const { strip } = cell;
  const scene = (marks: readonly Mark[]): Scene => ({
    pieces: [{ name: piece.name, corners }],
    walls: [],
    marks,
  });
  const whole: Box = { left: left - strip, right: right + strip, bottom: -2 * strip, top: 2 * strip };
  if (what === "length") {
    const edge = { from: vec(left, 0), to: vec(right, 0) };
    const marked = scene([{ kind: "length", edge, off: vec(0, -1.4 * strip), text: "tip to tip" }]);
    return onePiece(description, marked, { ...whole, bottom: -3 * strip });
  }
  if (what === "thickness") {
    const edge = { from: vec(0, -strip / 2), to: vec(0, strip / 2) };
    const marked = scene([{ kind: "length", edge, off: vec(0, 0), text: "thickness" }]);
    return onePiece(description, marked, {
      left: -6 * strip,
      right: 6 * strip,
      bottom: -2 * strip,
      top: 2 * strip,
    });
  }
  const side = cell.faces.find(({ kind, name }) => kind === "side" && name === subject);
  if (what === "shoulder" && side) {
    const above = subject?.endsWith("left") ? 1 : -1;
    const [start, end] = shoulderCorners(cell, side).map(({ end: to, out }) =>
      vec(to * out, (above * strip) / 2),
    );
    const edge = { from: start!, to: end! };
    const off = vec(0, 1.2 * above * strip);
    const marked = scene([
      { kind: "along", edge },
      { kind: "length", edge, off, text: "this side, corner to corner" },
    ]);
    return onePiece(description, marked, { ...whole, bottom: -3 * strip, top: 3 * strip });
  }
  const face = faceAlone(subject ?? "");
  const onJig = (one: Piece["cuts"][number]): boolean => what === "ramp" && groups.includes(one.group);
  const cut = piece.cuts.find((one) => one.face === face || onJig(one)) ?? at(piece.cuts, 0);
  const edge = edgeOf(corners, cut.end, cut.side, cut.jigAngle);
  const outer = cut.end * edge.from.x > cut.end * edge.to.x ? edge.from : edge.to;
  const square = { from: vec(outer.x, -strip), to: vec(outer.x, strip) };
  const marked = scene([
    { kind: "square", edge: square },
    { kind: "along", edge },
    {
      kind: "end",
      at: scale(add(edge.from, edge.to), 0.5),
      from: vec(0, 0),
      text: what === "ramp" ? `cut on ${subject}` : face,
      wanted: true,
      ring: false,
    },
  ]);
  const end = { ...boxAround([edge.from, edge.to, square.from, square.to]) };
  const room: Box = {
    left: end.left - 2 * strip,
    right: end.right + 2 * strip,
    bottom: -1.3 * strip,
    top: 1.3 * strip,
  };
  return stackedViews(description, marked, whole, room);
}

/** The edge of an outline whose outward normal is that of a cut. */
function edgeOf(corners: readonly Vec[], end: number, side: number, jigAngle: number): Edge {
  const normal = direction(end === 1 ? side * jigAngle : Math.PI - side * jigAngle);
  const edges = corners.map((from, i) => ({ from, to: at(corners, (i + 1) % corners.length) }));
  const turn = ({ from, to }: Edge): number => {
    const along = scale(sub(to, from), 1 / distance(from, to));
    // Counter-clockwise outlines have their outside to the right.
    return dot(scale(turnedLeft(along), -1), normal);
  };
  return edges.reduce((best, edge) => (turn(edge) > turn(best) ? edge : best));
}

function onePiece(description: string, scene: Scene, box: Box): Html {
  const view = viewOf(box, { width: WIDTH, tallest: TALLEST });
  return picture(description, view.height, content(scene, view));
}

function stackedViews(description: string, scene: Scene, whole: Box, part: Box): Html {
  const small = viewOf(whole, { width: WIDTH, tallest: 60 });
  const large = viewOf(part, { width: WIDTH, tallest: 150 });
  const middle = small.place(vec((part.left + part.right) / 2, 0));
  const ring = circle(middle, 15, { fill: "none", stroke: PALETTE.attention, "stroke-width": STROKE.mark });
  const bottom = small.height + 6;
  const named = (text: string, x: number, y: number, anchor: "start" | "middle" | "end"): Html =>
    label(text, { x, y }, { size: SIZE.small, anchor });
  const sides = [named("left", WIDTH / 2, 12, "middle"), named("right", WIDTH / 2, bottom, "middle")];
  const ends = [named("start", 4, bottom, "start"), named("end", WIDTH - 4, bottom, "end")];
  return picture(
    description,
    small.height + 12 + large.height,
    content({ ...scene, marks: [] }, small),
    ...[ring, ...ends, ...sides],
    group({ transform: `translate(0 ${small.height + 12})` }, content(scene, large)),
  );
}

function content({ pieces, walls, marks }: Scene, view: View): Html {
  const clipped = (list: readonly NamedShape[], fill: string): Html[] =>
    list.flatMap(({ name, corners }) => {
      const shown = view.clip(corners);
      if (shown.length < 3) return [];
      return [
        polygon(shown, {
          "data-name": name,
          fill,
          stroke: PALETTE.woodEdge,
          "stroke-width": STROKE.fine,
          "stroke-linejoin": "round",
        }),
      ];
    });
  return group(
    {},
    clipped(walls, PALETTE.grid),
    clipped(pieces, PALETTE.wood),
    marks.map((mark) => markHtml(mark, view)),
  );
}

/** Names of what is large enough to bear them. */
function names({ pieces, walls }: Scene, view: View): Html {
  return group(
    {},
    [...pieces, ...walls].flatMap(({ name, corners }) => {
      const shown = view.clip(corners);
      if (shown.length < 3 || name.includes(" ")) return [];
      const box = boxAround(shown.map(({ x, y }) => vec(x, y)));
      const fits =
        textWidth(name, SIZE.small) < (box.right - box.left) * 0.9 && box.top - box.bottom > SIZE.small + 4;
      if (!fits) return [];
      const middle = scale(
        shown.reduce((sum, p) => add(sum, p), vec(0, 0)),
        1 / shown.length,
      );
      return [
        label(
          name,
          { x: middle.x, y: middle.y + 4 },
          { size: SIZE.small, anchor: "middle", halo: PALETTE.paper, color: PALETTE.quiet },
        ),
      ];
    }),
  );
}

const STRONG = { stroke: PALETTE.attention, "stroke-width": 4, "stroke-linecap": "round" } as const;

function markHtml(mark: Mark, view: View): Html {
  switch (mark.kind) {
    case "along":
      return line(view.place(mark.edge.from), view.place(mark.edge.to), STRONG);
    case "square":
      return line(view.place(mark.edge.from), view.place(mark.edge.to), {
        stroke: PALETTE.ink,
        "stroke-width": STROKE.fine,
        ...dashes([5, 4]),
      });
    case "end":
      return endMark(mark, view);
    case "length":
      return lengthMark(mark, view);
  }
}

function endMark(
  { at: p, from, text, wanted, ring = wanted }: Extract<Mark, { kind: "end" }>,
  view: View,
): Html {
  const [here, there] = [view.place(p), view.place(from)];
  const away = Math.max(distance(here, there), 1);
  const out = scale(sub(here, there), 1 / away);
  const half = textWidth(text, SIZE.text, "bold") / 2;
  const reach = 10 + Math.abs(out.x) * half + Math.abs(out.y) * 8;
  const place = add(here, scale(out, reach));
  const inside = vec(
    Math.min(Math.max(place.x, half + 2), view.width - half - 2),
    Math.min(Math.max(place.y, 12), view.height - 6),
  );
  const mark = circle(here, 6, { fill: "none", stroke: PALETTE.attention, "stroke-width": STROKE.strong });
  const style = { anchor: "middle", halo: PALETTE.paper } as const;
  return group(
    {},
    ring ? mark : group({}),
    label(
      text,
      { x: inside.x, y: inside.y + 4 },
      wanted ? { ...style, weight: "bold", color: PALETTE.attention } : { ...style, size: SIZE.small },
    ),
  );
}

/** Length of an arrow's head, px. */
const HEAD = 8;

function lengthMark({ edge, off, text }: Extract<Mark, { kind: "length" }>, view: View): Html {
  const [from, to] = [view.place(add(edge.from, off)), view.place(add(edge.to, off))];
  const along = scale(sub(to, from), 1 / Math.max(distance(from, to), 1));
  const head = (tip: Vec, back: Vec): Html =>
    polygon(
      [
        tip,
        add(add(tip, scale(back, HEAD)), scale(turnedLeft(back), 4)),
        add(add(tip, scale(back, HEAD)), scale(turnedLeft(back), -4)),
      ],
      { fill: PALETTE.attention },
    );
  const middle = scale(add(from, to), 0.5);
  const beside = Math.abs(along.x) > 0.5 ? vec(0, 16) : vec(12 + textWidth(text, SIZE.text, "bold") / 2, 4);
  return group(
    {},
    line(view.place(edge.from), from, { stroke: PALETTE.ink, "stroke-width": STROKE.hair }),
    line(view.place(edge.to), to, { stroke: PALETTE.ink, "stroke-width": STROKE.hair }),
    line(from, to, { stroke: PALETTE.attention, "stroke-width": STROKE.mark }),
    ...[head(from, along), head(to, scale(along, -1))],
    label(text, add(middle, beside), {
      anchor: "middle",
      weight: "bold",
      color: PALETTE.attention,
      halo: PALETTE.paper,
    }),
  );
}

function picture(description: string, height: number, ...inside: readonly Html[]): Html {
  return element(
    "svg",
    {
      viewBox: `0 0 ${WIDTH} ${height}`,
      width: WIDTH,
      height,
      role: "img",
      "aria-label": description,
      class: "place",
      "font-family": FONT,
    },
    rect(0, 0, WIDTH, height, { fill: PALETTE.paper }),
    ...inside,
  );
}
