import { add, direction, polygonOf, scale, sub, type Vec, vec } from "../../core/geometry.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { facePlane, pieceFaces } from "../../model/cell/cell.js";
import { pointsUp } from "../../model/cell/three-way-grid.js";
import type { Job } from "../../model/job/job.js";
import { boxAround } from "../../render/cell/labels.js";
import { type ChartOptions, plotWidth } from "../../render/charts/chart-spec.js";
import { element, hundredth } from "../../render/html.js";
import { pieceLength } from "../../render/shop-numbers.js";
import { PALETTE, SIZE, STROKE } from "../../render/style.js";
import { type Block, type Drawing, framedDrawing, label, line, rect } from "../../render/svg.js";
import { type GridShape, gridShape } from "./grid-shape.js";

interface PanelDrawingOptions extends ChartOptions {
  /** Whether the cells are empty, as before any piece goes in; default false. */
  readonly empty?: boolean;
}

/** Room for the dimensions below and beside the panel, px. */
const DIMENSION = 26;
const TALLEST = 900;

/**
 * The whole panel at nominal size with its pattern in every cell, to scale, and its outer size.
 *
 * @throws UserError (code "panel") when the job has no panel, or its cells are neither rectangles nor equilateral triangles.
 * @example
 * panelDrawing(job).svg.startsWith("<svg") // true
 */
export function panelDrawing(job: Job, options: PanelDrawingOptions = {}): Drawing {
  const shape = gridShape(job);
  const room = plotWidth(options.width);
  const px = Math.min((room - DIMENSION) / shape.width, TALLEST / shape.height);
  const { rows, columns, border } = shape.panel;
  const title = options.title ?? (job.title === "" ? "The panel" : job.title);
  const notes = notesOf(job, shape);
  return framedDrawing(
    {
      title,
      notes,
      description: `${title}: the panel to scale, ${rows} rows by ${columns} columns. ${notes.join(" ")}`,
    },
    [panelBlock(job, shape, { px, room, edge: border.thickness, empty: options.empty ?? false })],
  );
}

function notesOf(job: Job, shape: GridShape): string[] {
  const { units, arrangement } = job;
  const cells = cellsOf(arrangement, shape).length;
  const kinds = [...new Set(arrangement.pieces.map(({ kind }) => kind))].map((kind) => {
    const each = arrangement.pieces.filter((piece) => piece.kind === kind).length;
    return `${cells * each} × ${kind}`;
  });
  const size = (mm: number): string => pieceLength(mm, units);
  const mirrored = shape.panel.diagonals === "alternate" ? " Every second cell is mirrored." : "";
  const halves =
    shape.kind === "three-way"
      ? " The half triangles at the sides, which the border cuts, are not drawn open."
      : "";
  return [
    `${cells} cells of ${arrangement.name}: ${kinds.join(", ")}, and spares. Opening ${size(shape.opening.width)}${shape.kind === "upright" && Math.abs(shape.opening.width - shape.opening.height) > 1e-9 ? ` by ${size(shape.opening.height)}` : ""}, strips ${size(job.strip)}, border ${size(shape.panel.border.thickness)}; outer size ${size(shape.width)} by ${size(shape.height)}.${mirrored}${halves}`,
  ];
}

/** Maps a point of the nominal cell to its position in the panel: mm from the inner upper left corner of the border, y downwards. */
type CellPlace = (p: Vec) => Vec;

/** The position of each cell, row by row from the top. */
function cellsOf({ walls }: Arrangement, shape: GridShape): CellPlace[] {
  const ends = walls.flatMap(({ middle, normal, halfLength }) => {
    const along = scale(direction(normal + Math.PI / 2), halfLength);
    return [sub(middle, along), add(middle, along)];
  });
  const { rows, columns, diagonals } = shape.panel;
  const all = Array.from(
    { length: rows * columns },
    (_, i) => [Math.floor(i / columns), i % columns] as const,
  );
  if (shape.kind === "upright") {
    const { left, right, top, bottom } = boxAround(ends);
    const middle = vec((left + right) / 2, (top + bottom) / 2);
    return all.map(([row, column]) => {
      const flip = diagonals === "alternate" && (row + column) % 2 === 1 ? -1 : 1;
      const at = vec(shape.across.middles[column] ?? 0, shape.down.middles[row] ?? 0);
      return ({ x, y }) => vec(at.x + flip * (x - middle.x), at.y - (y - middle.y));
    });
  }
  const middle = scale(ends.reduce(add), 1 / ends.length);
  // The cell at nominal size stands on its level wall, or hangs from it.
  const stands = walls.some(({ normal }) => Math.sin(normal) > 1 - 1e-9);
  const { pitch, band, strip } = shape.grid;
  return all.map(([row, column]) => {
    const up = pointsUp(row, column);
    const turn = up === stands ? 1 : -1;
    const third = band / 3;
    // A level border's inner face lies half a strip inside the outermost line of crossings.
    const y = (up ? (row + 1) * band - third : row * band + third) - strip / 2;
    const at = vec(((column + 1) * pitch) / 2, y);
    return (p) => vec(at.x + turn * (p.x - middle.x), at.y - turn * (p.y - middle.y));
  });
}

interface PanelScale {
  /** px per mm. */
  readonly px: number;
  readonly room: number;
  /** Thickness of the border, mm. */
  readonly edge: number;
  readonly empty: boolean;
}

function panelBlock(job: Job, shape: GridShape, { px, room, edge, empty }: PanelScale): Block {
  const { arrangement, units } = job;
  const [width, height] = [shape.width * px, shape.height * px];
  const left = Math.max(0, (room - DIMENSION - width) / 2);
  const on = ({ x, y }: Vec): Vec => vec(left + (x + edge) * px, (y + edge) * px);
  const path = (outlines: readonly (readonly Vec[])[]): string =>
    outlines
      .map((corners) => `M${corners.map((p) => `${hundredth(on(p).x)},${hundredth(on(p).y)}`).join("L")}Z`)
      .join("");
  const opening = polygonOf(
    arrangement.walls.map(({ middle, normal }) => {
      const out = direction(normal + Math.PI);
      return { normal: out, offset: out.x * middle.x + out.y * middle.y };
    }),
  );
  const pieces = arrangement.pieces.map((piece, body) =>
    polygonOf(pieceFaces(piece, body, arrangement.strip).map(facePlane)),
  );
  const cells = cellsOf(arrangement, shape);
  const thin = { stroke: PALETTE.woodEdge, "stroke-width": STROKE.hair };
  const [across, down] = [pieceLength(shape.width, units), pieceLength(shape.height, units)];
  const quiet = { stroke: PALETTE.quiet, "stroke-width": STROKE.hair };
  const below = height + 10;
  const beside = left + width + 10;
  return {
    width: room,
    height: height + DIMENSION,
    content: [
      rect(left, 0, width, height, { fill: PALETTE.grid, ...thin }),
      rect(left + edge * px, edge * px, width - 2 * edge * px, height - 2 * edge * px, {
        fill: "none",
        ...thin,
      }),
      element("path", {
        "data-name": "openings",
        d: path(cells.map((place) => opening.map(place))),
        fill: PALETTE.paper,
        ...thin,
      }),
      empty
        ? ""
        : element("path", {
            "data-name": "pieces",
            d: path(cells.flatMap((place) => pieces.map((corners) => corners.map(place)))),
            fill: PALETTE.wood,
            ...thin,
          }),
      line(vec(left, below), vec(left + width, below), quiet),
      [left, left + width].map((x) => line(vec(x, below - 4), vec(x, below + 4), quiet)),
      label(across, vec(left + width / 2, below + 12), { anchor: "middle", size: SIZE.small }),
      line(vec(beside, 0), vec(beside, height), quiet),
      [0, height].map((y) => line(vec(beside - 4, y), vec(beside + 4, y), quiet)),
      label(down, vec(beside + 9, height / 2), { anchor: "middle", size: SIZE.small, turn: -90 }),
    ],
  };
}
