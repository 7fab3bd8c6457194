import { add, direction, polygonOf, scale, type Vec } from "../../core/geometry.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { facePlane, pieceFaces } from "../../model/cell/cell.js";
import { type ChartOptions, type ChartSpec, type Layer, plotWidth } from "../charts/chart-spec.js";
import { framed } from "../charts/framed.js";
import { lines, polygons, px, symbols, texts } from "../charts/marks.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { wallBands } from "./cell-panel.js";
import { boxAround, clipPolygon, nameLabels, placeLabel, rectangle } from "./labels.js";

/** A place in the cell to be looked at, mm, and the number under which it is spoken of. */
export interface PatternMark {
  readonly at: Vec;
  readonly label: string;
}

export interface PatternDrawingOptions extends ChartOptions {
  /** Sentences under the title. */
  readonly notes?: readonly string[];
  readonly marks?: readonly PatternMark[];
}

/** Of the grid round the opening, strip thicknesses. */
const RIM = 1.5;
const TALLEST = 600;
const RING = 260;

/** A pattern's cell at nominal size, to scale: walls, pieces with their names, and rings round the places that do not meet. It need not close. */
export function patternDrawing(arrangement: Arrangement, options: PatternDrawingOptions = {}): ChartSpec {
  const { notes = [], marks = [], width } = options;
  const title = options.title ?? arrangement.name;
  const { strip, pieces } = arrangement;
  const shapes = pieces.flatMap((piece, body) => {
    const corners = polygonOf(pieceFaces(piece, body, strip).map(facePlane));
    return corners.length > 2 ? [{ name: piece.name, corners }] : [];
  });
  const walls = wallLines(arrangement);
  const bands = wallBands(walls, RIM * strip);
  const box = boxAround([...bands, ...shapes].flatMap(({ corners }) => corners));
  const room = plotWidth(width);
  const size = Math.min(room / (box.right - box.left), TALLEST / (box.top - box.bottom));
  const offset = (room - size * (box.right - box.left)) / 2;
  const place = ({ x, y }: Vec): Vec => ({ x: offset + size * (x - box.left), y: size * (box.top - y) });
  const height = Math.ceil(size * (box.top - box.bottom));
  const drawn = (list: readonly { readonly name: string; readonly corners: readonly Vec[] }[]) =>
    list
      .map(({ name, corners }) => ({ name, corners: clipPolygon(corners, box).map(place) }))
      .filter(({ corners }) => corners.length > 2);
  const grid = drawn(bands);
  const wood = drawn(shapes);
  const named = drawn([...bands.filter(({ name }) => !name.includes(" ")), ...shapes]);
  const edges = walls.map(({ from, to }) => {
    const [a, b] = [place(from), place(to)];
    return { x: px(a.x), y: px(a.y), x2: px(b.x), y2: px(b.y) };
  });
  const sentences = notes.join(" ");
  return framed(
    { title, notes, width, description: `${title}: ${pieces.length} pieces to scale. ${sentences}`.trim() },
    [
      {
        width: room,
        height,
        layer: [
          ...polygons(grid, { fill: PALETTE.grid, stroke: PALETTE.grid, strokeWidth: 1 }),
          ...lines(edges, { color: PALETTE.woodEdge, width: STROKE.fine }),
          ...polygons(wood, { fill: PALETTE.wood, stroke: PALETTE.woodEdge, strokeWidth: STROKE.fine }),
          ...nameLabels(named),
          ...markLayers(
            marks.map(({ at, label }) => ({ label, at: place(at) })),
            wood.map(({ corners }) => corners),
            { width: room, height },
          ),
        ],
      },
    ],
  );
}

function wallLines({ walls }: Arrangement) {
  return walls.map(({ name, middle, normal, halfLength }) => {
    const along = scale(direction(normal + Math.PI / 2), halfLength);
    return { name, normal: direction(normal), from: add(middle, scale(along, -1)), to: add(middle, along) };
  });
}

/** Rings, each mark's number beside its first. */
function markLayers(
  marks: readonly PatternMark[],
  shapes: readonly (readonly Vec[])[],
  view: { readonly width: number; readonly height: number },
): Layer[] {
  const taken = [...shapes, ...marks.map(({ at }) => rectangle(at.x, at.y, 16, 16))];
  const firsts = marks.filter(({ label }, i) => marks.findIndex((mark) => mark.label === label) === i);
  const labels = firsts.map(({ at, label }) => {
    const box = { width: 8 * label.length + 6, height: SIZE.title };
    const where = placeLabel({ at, ...box }, taken, view);
    taken.push(rectangle(where.x, where.y, box.width, box.height));
    return { ...where, at, label };
  });
  return [
    ...lines(
      labels.map(({ at, rimX, rimY }) => ({ x: px(at.x), y: px(at.y), x2: px(rimX), y2: px(rimY) })),
      { color: PALETTE.attention, width: STROKE.fine },
    ),
    ...symbols(
      marks.map(({ at }) => ({ x: px(at.x), y: px(at.y) })),
      { shape: "circle", size: RING, stroke: PALETTE.attention, strokeWidth: STROKE.mark },
    ),
    ...texts(
      labels.map(({ x, y, label }) => ({ x: px(x), y: px(y + SIZE.title / 3), text: label })),
      { align: "center", weight: "bold", size: SIZE.title, color: PALETTE.attention, halo: PALETTE.paper },
    ),
  ];
}
