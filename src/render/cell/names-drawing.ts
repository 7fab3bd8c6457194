import { isUserError } from "../../core/errors.js";
import { add, direction, dot, polygonOf, scale, sub, type Vec, vec } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import type { Arrangement, Cut, Piece } from "../../model/cell/arrangement.js";
import { benchNames } from "../../model/cell/benches.js";
import { type Cell, facePlane, type Joint, pieceFaces } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { jointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import { jobBench, jobCell } from "../../model/job/job-cell.js";
import { setUpByGroup } from "../../model/shop.js";
import { type ChartOptions, plotWidth } from "../charts/chart-spec.js";
import type { Attributes, Html } from "../html.js";
import { PALETTE, PANEL_SPACING, SIZE, STROKE } from "../style.js";
import {
  type Block,
  beside,
  type Drawing,
  framedDrawing,
  label,
  legendBlock,
  line,
  polygon,
  SWATCH,
  stacked,
  textBlock,
} from "../svg.js";
import { fittedLines, textWidth } from "../text-layout.js";
import { shapes, viewOf, wallBands } from "./cell-panel.js";
import { heelDot, jointMarks, numberDisc, toeDot } from "./joint-marks.js";
import { boxAround, clipPolygon, type NamedShape, nameLabels } from "./labels.js";

const TITLE = "Names as you type them";

/** Least width for two columns, px. */
const WIDE = 520;
/** Margin of grid and trial pieces shown around the joints, in strip thicknesses. */
const GRID_RIM = 2.4;
const AROUND = 3;
/** Maximum height of the drawing of a bench, px; that of a cell is no taller than it is wide. */
const BENCH_TALL = 150;
const BENCH_WIDE = 160;

/** Which parts are drawn with names: the cell with one piece of each kind, and the benches. */
type NamedPart = "cell" | "benches";

interface NamesOptions extends ChartOptions {
  /** The parts to draw; default all. */
  readonly parts?: readonly NamedPart[];
}

/**
 * Draws the names of a job's joints, pieces, ends, sides, toes and heels, as they are typed in a table of trials, on the cell, one piece of each kind, and every bench.
 *
 * @example
 * namesDrawing(job).svg.includes("hinge-1 mitre") // true
 */
export function namesDrawing(
  job: Job,
  { width, title = TITLE, parts = ["cell", "benches"] }: NamesOptions = {},
): Drawing {
  const room = plotWidth(width);
  const cell = jobCell(job);
  const benches = parts.includes("benches") ? benchesOf(job) : [];
  return framedDrawing({ title, notes: [howText(cell)], description: describe(cell) }, [
    ...(parts.includes("cell") ? cellBlocks(job, cell, room) : []),
    ...(benches.length > 0 ? [heading("Benches: a trial piece on each", room), inRows(benches, room)] : []),
  ]);
}

const howText = ({ joints }: Cell): string =>
  `The numbers stand for the names beside them: type the name in the column “joint” of trials.csv. Longer names, such as ${at(joints, 0).name}, are understood too.`;

function cellBlocks(job: Job, cell: Cell, room: number): Block[] {
  const wide = room >= WIDE;
  const own = wide ? Math.floor(0.56 * (room - PANEL_SPACING)) : room;
  const drawn = arrangementBlock(cell, own, own, GRID_RIM);
  const top = wide
    ? [beside([drawn, jointList(cell, room - PANEL_SPACING - own)], PANEL_SPACING)]
    : [drawn, jointList(cell, room)];
  return [
    ...top,
    toeAndHeel(room),
    heading("One piece of each kind, lying with its start to the left", room),
    inRows(piecesOf(job, cell), room),
  ];
}

const describe = (cell: Cell): string => {
  const list = namedJoints(cell).map(({ text, joint }, i) => `${i + 1} ${text} (${joint.name})`);
  return `The joints of ${cell.name}, with their full names: ${list.join("; ")}. A joint's toe is its end at the point of the piece, its heel the end at the shoulder.`;
};

function heading(text: string, room: number): Block {
  const bold = (line: string, size: number): number => textWidth(line, size, "bold");
  return textBlock(fittedLines(text, room, SIZE.heading, bold), { size: SIZE.heading, weight: "bold" }, 16);
}

/** The joints that are read, with their short names; a joint between a side and a fence only holds the piece. */
function namedJoints(cell: Cell): { readonly joint: Joint; readonly text: string }[] {
  const { short } = jointNames(cell);
  const isCut = (face: number): boolean => at(cell.faces, face).cut !== undefined;
  return cell.joints.flatMap((joint, i) =>
    isCut(joint.first) || isCut(joint.mate) ? [{ joint, text: at(short, i) }] : [],
  );
}

/** The names of joints by their numbers. */
function jointList(cell: Cell, room: number): Block {
  return legendBlock(
    namedJoints(cell).map(({ text }, i) => ({
      text,
      swatch: (x, y) => numberDisc(i + 1, { x: x + SWATCH / 2, y }),
    })),
    room,
  );
}

const toeAndHeel = (room: number): Block =>
  legendBlock(
    [
      { text: "toe: the end at the point", swatch: (x, y) => toeDot({ x: x + SWATCH / 2, y }) },
      { text: "heel: the end at the shoulder", swatch: (x, y) => heelDot({ x: x + SWATCH / 2, y }) },
    ],
    room,
  );

/** Blocks from left to right, as many to a row as fit. */
function inRows(blocks: readonly Block[], room: number): Block {
  const widest = Math.max(...blocks.map(({ width }) => width));
  const columns = Math.max(1, Math.floor((room + PANEL_SPACING) / (widest + PANEL_SPACING)));
  const rows = Array.from({ length: Math.ceil(blocks.length / columns) }, (_, r) =>
    beside(
      blocks.slice(r * columns, (r + 1) * columns).map((block) => ({ ...block, width: widest })),
      PANEL_SPACING,
    ),
  );
  return stacked(rows, PANEL_SPACING);
}

/** Thickness of a line with points behind it, and thickness of the fences of a bench, in strip thicknesses. */
const LINE = 0.3;
const FENCE = 1.1;

const isFence = ({ name }: { readonly name: string }): boolean => name.startsWith("fence");

/** Whether pieces lie on both sides of the only wall. */
const pointsAllRound = ({ walls, pieces }: Arrangement): boolean =>
  walls.length === 1 &&
  walls.some(({ normal, middle }) =>
    pieces.some(({ origin }) => dot(direction(normal), sub(origin, middle)) < 0),
  );

/** Draws a cell or a bench around its joints, with the joints numbered. */
function arrangementBlock(cell: Cell, width: number, tallest: number, rim: number): Block {
  const { strip } = cell;
  const wood = cell.pieces.map(({ name }, body) => ({
    name,
    corners: polygonOf(cell.faces.filter((face) => face.body === body && face.kind !== "pin").map(facePlane)),
  }));
  const walls = cell.walls.map(({ name, middle, normal, halfLength }) => {
    const along = scale(direction(normal + Math.PI / 2), halfLength);
    return { name, normal: direction(normal), from: add(middle, scale(along, -1)), to: add(middle, along) };
  });
  const joints = namedJoints(cell).map(({ joint }) => joint);
  const near = boxAround(joints.flatMap(({ toe, heel }) => [toe, heel]));
  const box = {
    left: near.left - rim * strip,
    right: near.right + rim * strip,
    bottom: near.bottom - rim * strip,
    top: near.top + rim * strip,
  };
  const view = viewOf(box, { width, tallest });
  const shown = (list: readonly NamedShape[]): NamedShape[] =>
    list
      .map(({ name, corners }) => ({ name, corners: view.clip(corners) }))
      .filter(({ corners }) => corners.length > 2);
  // Points all the way round cover what lies behind the line that the first one is placed on.
  const behind = pointsAllRound(cell) ? LINE : cell.walls.some(isFence) ? FENCE : 2 * rim;
  const [grid, pieces] = [shown(wallBands(walls, behind * strip)), shown(wood)];
  const fine = { stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine };
  return {
    width,
    height: view.height,
    content: [
      shapes(grid, { fill: PALETTE.grid, stroke: PALETTE.grid, "stroke-width": 1 }),
      shapes(pieces, { fill: PALETTE.wood, ...fine }),
      nameLabels([...pieces, ...grid]),
      jointMarks(
        joints,
        view,
        pieces.map(({ corners }) => corners),
      ),
    ],
  };
}

/** In the drawing of a piece: thickness of the strip, its length on either side of the break, and the width of the break, px. */
const PIECE = { strip: 34, end: 92, gap: 14, left: 16, above: 34, below: 34 } as const;

/** One piece of each kind and hand: mirror-image pieces have their cuts on opposite sides. */
function piecesOf(job: Job, cell: Cell): Block[] {
  const byCuts = new Map<string, Piece[]>();
  for (const piece of cell.pieces) {
    const key = piece.cuts
      .map(({ face, group, role }) => `${face} ${group} ${role}`)
      .sort()
      .join(" ");
    byCuts.set(key, [...(byCuts.get(key) ?? []), piece]);
  }
  return [...byCuts.values()].map((alike) =>
    pieceBlock(job, cell, at(alike, 0), alike.map(({ name }) => name).join(", ")),
  );
}

/** Draws both ends of a piece without its middle: its sides, its cuts with their names, toes and heels, and the set-up that each is cut at. */
function pieceBlock(job: Job, { strip }: Arrangement, piece: Piece, named: string): Block {
  const px = PIECE.strip / strip;
  const own = { ...piece, origin: vec(0, 0), axis: 0 };
  const corners = polygonOf(pieceFaces(own, 0, strip).map(facePlane));
  const { left, right, top, bottom } = boxAround(corners);
  const shown = Math.min(PIECE.end / px, (right - left) / 2);
  const width = 2 * (PIECE.end + PIECE.left) + PIECE.gap;
  const middle = PIECE.above + PIECE.strip / 2;
  const startAt = (p: Vec): Vec => vec(PIECE.left + (p.x - left) * px, middle - p.y * px);
  const endAt = (p: Vec): Vec => vec(width - PIECE.left - (right - p.x) * px, middle - p.y * px);
  const halves = [
    clipPolygon(corners, { left, right: left + shown, top, bottom }).map(startAt),
    clipPolygon(corners, { left: right - shown, right, top, bottom }).map(endAt),
  ];
  const fine = { stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine, "stroke-linejoin": "round" };
  const [a, b] = [PIECE.left + PIECE.end, width - PIECE.left - PIECE.end];
  const blank = { stroke: PALETTE.paper, "stroke-width": STROKE.fine + 0.6 };
  const torn = { stroke: PALETTE.woodEdge, "stroke-width": STROKE.hair, "stroke-dasharray": "3 2" };
  const edge = (x: number, style: Attributes): Html =>
    line(vec(x, middle - PIECE.strip / 2), vec(x, middle + PIECE.strip / 2), style);
  const small = { size: SIZE.small, anchor: "middle" } as const;
  const cuts = piece.cuts.map((one) => cutLabel(one, corners, one.end === 1 ? endAt : startAt));
  const notes = job.setUps.length === 0 ? [] : fittedLines(cutAtText(piece, job), width, SIZE.tiny);
  return {
    width,
    height: PIECE.above + PIECE.strip + PIECE.below + 14 * notes.length + 4,
    content: [
      label(named, vec(0, 11), { size: SIZE.small, weight: "bold" }),
      halves.map((half) => polygon(half, { fill: PALETTE.wood, ...fine })),
      [a, b].map((x) => [edge(x, blank), edge(x, torn)]),
      label("left", vec(width / 2, middle - PIECE.strip / 2 - 4), small),
      label("right", vec(width / 2, middle + PIECE.strip / 2 + 12), small),
      label("start", vec(a - 26, middle + 4), small),
      label("end", vec(b + 24, middle + 4), small),
      cuts,
      notes.map((text, i) =>
        label(text, vec(0, PIECE.above + PIECE.strip + PIECE.below + 10 + 14 * i), {
          size: SIZE.tiny,
          color: PALETTE.quiet,
        }),
      ),
    ],
  };
}

/** The set-ups that cut the piece. */
function cutAtText(piece: Piece, job: Job): string {
  const setUpOf = setUpByGroup(job);
  const bySetUp = new Map<string, string[]>();
  for (const cut of piece.cuts) {
    const name = setUpOf(cut)?.name;
    if (name) bySetUp.set(name, [...(bySetUp.get(name) ?? []), cut.face]);
  }
  return [...bySetUp].map(([name, faces]) => `${name} cuts ${faces.join(" and ")}`).join("; ");
}

/** Tolerance for a corner to lie on a face's line, mm. */
const ON_LINE = 1e-9;

/** The name of a cut over or under its face, with the dots at its toe and heel. */
function cutLabel(cut: Cut, corners: readonly Vec[], place: (p: Vec) => Vec): Html[] {
  const normal = vec(cut.end * Math.cos(cut.jigAngle), cut.side * Math.sin(cut.jigAngle));
  const offset = cut.reach * Math.cos(cut.jigAngle);
  const ends = corners.filter((p) => Math.abs(normal.x * p.x + normal.y * p.y - offset) < ON_LINE);
  const [from, to] = ends.sort((p, q) => Math.abs(p.y) - Math.abs(q.y)).map(place);
  if (!from || !to) return [];
  const above = cut.side === 1;
  const middle = scale(add(from, to), 1 / 2);
  const text = cut.role === "mitre" || cut.role === "seat" ? `${cut.face} (${cut.role})` : cut.face;
  const wide = textWidth(text, SIZE.small);
  const x = cut.end === 1 ? middle.x + 14 : middle.x - 14;
  const y = above ? Math.min(from.y, to.y) - 8 : Math.max(from.y, to.y) + 16;
  const at = vec(cut.end === 1 ? Math.max(x, wide) : x, y);
  return [
    line(middle, vec(middle.x, above ? y + 3 : y - 10), {
      stroke: PALETTE.computed,
      "stroke-width": STROKE.hair,
    }),
    line(from, to, { stroke: PALETTE.ink, "stroke-width": STROKE.mark }),
    heelDot(to),
    toeDot(from),
    label(text, at, { size: SIZE.small, anchor: cut.end === 1 ? "end" : "start" }),
  ];
}

/** Every bench that is suitable for a set-up of the job, with the first such set-up. */
function benchesOf(job: Job): Block[] {
  return benchNames(job.arrangement).flatMap((name) => {
    const suited = job.setUps.flatMap((setUp) => {
      try {
        return [{ setUp, cell: compileCell(jobBench(job, name, setUp)) }];
      } catch (error) {
        if (isUserError(error, "cell")) return [];
        throw error;
      }
    });
    const [first] = suited;
    if (!first) return [];
    const head = textBlock([name], { size: SIZE.small, weight: "bold" }, 15);
    return [
      stacked(
        [
          head,
          arrangementBlock(first.cell, BENCH_WIDE, BENCH_TALL, AROUND),
          jointList(first.cell, BENCH_WIDE),
        ],
        4,
      ),
    ];
  });
}
