import { type Html, markup } from "../../../src/render/html.js";
import { PALETTE, SIZE } from "../../../src/render/style.js";
import { label, line, polygon, rect, svgDocument } from "../../../src/render/svg.js";

/** What each folder of `src` holds, and the column it stands in: 0 left, 1 middle, 2 right. */
const ROOMS: Readonly<
  Record<string, { readonly column: number; readonly holds: readonly [string, string] }>
> = {
  cli: { column: 1, holds: ["arguments, exit codes,", "progress"] },
  features: { column: 1, holds: ["one folder per command: its", "numbers, text, JSON, charts"] },
  render: { column: 2, holds: ["html, svg, charts, pages,", "notebooks"] },
  inference: { column: 2, holds: ["likelihood, posterior,", "decisions, design of trials"] },
  io: { column: 0, holds: ["YAML and CSV to the model,", "faults by line and column"] },
  physics: { column: 0, holds: ["how pieces seat;", "errors to gaps; the kernel"] },
  uncertainty: { column: 2, holds: ["of any formula;", "knows no joinery"] },
  model: { column: 0, holds: ["the shop as data: cells, jigs,", "readings, wood"] },
  core: { column: 1, holds: ["numbers, quantities,", "geometry, files, errors"] },
};

type Arrows = Readonly<Record<string, readonly string[]>>;

/** The arrows that say all the others: those that no longer way round replaces. */
export function plainArrows(table: Arrows): [string, string][] {
  return Object.entries(table).flatMap(([from, targets]) =>
    targets
      .filter((to) => !targets.some((between) => between !== to && reached(table, between).has(to)))
      .map((to): [string, string] => [from, to]),
  );
}

function reached(table: Arrows, from: string): Set<string> {
  const found = new Set<string>();
  const open = [...(table[from] ?? [])];
  for (let next = open.pop(); next !== undefined; next = open.pop())
    if (!found.has(next)) {
      found.add(next);
      open.push(...(table[next] ?? []));
    }
  return found;
}

/** How many folders stand below one, the longest way down. */
function floor(table: Arrows, room: string): number {
  return Math.max(-1, ...(table[room] ?? []).map((to) => floor(table, to))) + 1;
}

const BOX = { width: 186, height: 62, apart: 104, columns: [110, 310, 510], top: 40 } as const;

/**
 * The picture of the rooms: `docs/rooms.svg`.
 *
 * @throws Error for a folder that is not described here.
 */
export function drawRooms(table: Arrows): string {
  const top = Math.max(...Object.keys(table).map((room) => floor(table, room)));
  const place = (room: string): { x: number; y: number } => {
    const x = BOX.columns[ROOMS[room]?.column ?? -1];
    if (x === undefined) throw new Error(`Say in draw-rooms.ts what ${room} holds and where it stands.`);
    return { x, y: BOX.top + BOX.height / 2 + BOX.apart * (top - floor(table, room)) };
  };
  const arrows = plainArrows(table).map(([from, to]) => arrow(place(from), place(to)));
  const boxes = Object.keys(table).map((room) => box(room, place(room)));
  const caption = [
    "A folder may import the folders its arrows point to,",
    "and everything further along the arrows too.",
  ];
  const [width, height] = [620, BOX.top + BOX.apart * top + BOX.height + 16];
  const words = caption.map((text, at) => written(text, width / 2, 15 + 15 * at));
  const paper = rect(0, 0, width, height, { fill: PALETTE.paper });
  const head = { title: "The folders of src and what each may import", width, height };
  return `${svgDocument(head, paper, words, arrows, boxes)}\n`;
}

function box(room: string, { x, y }: { x: number; y: number }): Html {
  const wood = { rx: 6, fill: PALETTE.wood, stroke: PALETTE.woodEdge };
  return markup(
    rect(x - BOX.width / 2, y - BOX.height / 2, BOX.width, BOX.height, wood),
    label(room, { x, y: y - 13 }, { anchor: "middle", size: SIZE.title, weight: "bold" }),
    (ROOMS[room]?.holds ?? []).map((text, at) => written(text, x, y + 4 + 15 * at)),
  );
}

const written = (text: string, x: number, y: number): Html =>
  label(text, { x, y }, { anchor: "middle", size: SIZE.small, color: PALETTE.quiet });

/** From the lower edge of a box to the upper edge of one below it. */
function arrow(from: { x: number; y: number }, to: { x: number; y: number }): Html {
  const half = BOX.height / 2;
  const near = (one: number, other: number): number => one + Math.max(-60, Math.min(60, (other - one) / 2));
  const [a, b] = [
    { x: near(from.x, to.x), y: from.y + half },
    { x: near(to.x, from.x), y: to.y - half },
  ];
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  const [ux, uy] = [(b.x - a.x) / length, (b.y - a.y) / length];
  const base = { x: b.x - 8 * ux, y: b.y - 8 * uy };
  const wing = (side: number) => ({ x: base.x - side * 4 * uy, y: base.y + side * 4 * ux });
  return markup(
    line(a, base, { stroke: PALETTE.computed, "stroke-width": 1.5 }),
    polygon([b, wing(1), wing(-1)], { fill: PALETTE.computed }),
  );
}
