import { add, direction, polygonOf, scale, type Vec } from "../../core/geometry.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { facePlane, pieceFaces } from "../../model/cell/cell.js";
import { type ChartOptions, plotWidth } from "../charts/chart-spec.js";
import type { Html } from "../html.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { circle, type Drawing, framedDrawing, label, line } from "../svg.js";
import { shapes, type View, viewOf, wallBands } from "./cell-panel.js";
import { boxAround, type NamedShape, nameLabels, placeLabel, rectangle } from "./labels.js";

/** A position in the cell to be marked, mm, and the number used to refer to it. */
export interface PatternMark {
  readonly at: Vec;
  readonly label: string;
}

export interface PatternDrawingOptions extends ChartOptions {
  /** Sentences under the title. */
  readonly notes?: readonly string[];
  readonly marks?: readonly PatternMark[];
}

/** Width of grid shown around the opening, in strip thicknesses. */
const RIM = 1.5;
const TALLEST = 600;
/** Radius of a ring, px. */
const RING = 9;

/** Draws a pattern's cell at nominal size, to scale: walls, pieces with their names, and rings around places that do not meet. The cell need not close. */
export function patternDrawing(arrangement: Arrangement, options: PatternDrawingOptions = {}): Drawing {
  const { notes = [], marks = [], title = arrangement.name } = options;
  const { strip, pieces } = arrangement;
  const wood = pieces.flatMap((piece, body) => {
    const corners = polygonOf(pieceFaces(piece, body, strip).map(facePlane));
    return corners.length > 2 ? [{ name: piece.name, corners }] : [];
  });
  const walls = wallLines(arrangement);
  const bands = wallBands(walls, RIM * strip);
  const width = plotWidth(options.width);
  const view = viewOf(boxAround([...bands, ...wood].flatMap(({ corners }) => corners)), {
    width,
    tallest: TALLEST,
  });
  const shown = (list: readonly NamedShape[]): NamedShape[] =>
    list
      .map(({ name, corners }) => ({ name, corners: view.clip(corners) }))
      .filter(({ corners }) => corners.length > 2);
  const [drawnWalls, drawnWood] = [shown(bands), shown(wood)];
  const fine = { stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine };
  const description = `${title}: ${pieces.length} pieces to scale. ${notes.join(" ")}`.trim();
  return framedDrawing({ title, notes, description }, [
    {
      width,
      height: view.height,
      content: [
        shapes(drawnWalls, { fill: PALETTE.grid, stroke: PALETTE.grid, "stroke-width": 1 }),
        walls.map(({ from, to }) => line(view.place(from), view.place(to), fine)),
        shapes(drawnWood, { fill: PALETTE.wood, ...fine }),
        nameLabels([...drawnWalls, ...drawnWood]),
        markRings(
          marks.map(({ at, label }) => ({ label, at: view.place(at) })),
          drawnWood.map(({ corners }) => corners),
          view,
        ),
      ],
    },
  ]);
}

/** The walls of an arrangement as lines, with the normals into the opening. */
export function wallLines({ walls }: Arrangement) {
  return walls.map(({ name, middle, normal, halfLength }) => {
    const along = scale(direction(normal + Math.PI / 2), halfLength);
    return { name, normal: direction(normal), from: add(middle, scale(along, -1)), to: add(middle, along) };
  });
}

/** Draws rings, with the number of each mark beside its first ring. */
function markRings(marks: readonly PatternMark[], wood: readonly (readonly Vec[])[], view: View): Html[] {
  const taken = [...wood, ...marks.map(({ at }) => rectangle(at.x, at.y, 2 * RING, 2 * RING))];
  const rim = { stroke: PALETTE.attention, "stroke-width": STROKE.mark, fill: "none" };
  const labels: Vec[][] = [];
  const firsts = marks.filter(({ label }, i) => marks.findIndex((mark) => mark.label === label) === i);
  const numbers = firsts.flatMap(({ at, label: text }) => {
    const [width, height] = [8 * text.length + 6, SIZE.title];
    const place = placeLabel({ at, width, height }, { shapes: taken, labels }, view);
    labels.push(rectangle(place.x, place.y, width, height));
    return [
      line(at, { x: place.rimX, y: place.rimY }, { ...rim, "stroke-width": STROKE.fine }),
      label(
        text,
        { x: place.x, y: place.y + SIZE.title / 3 },
        {
          anchor: "middle",
          weight: "bold",
          size: SIZE.title,
          color: PALETTE.attention,
          halo: PALETTE.paper,
        },
      ),
    ];
  });
  return [...marks.map(({ at }) => circle(at, RING, rim)), ...numbers];
}
