import { type Crossing, pointsUp, threeWayGrid } from "../../lattice/three-way-grid.js";
import { boxes, lines, type Place, polygons, px } from "../marks.js";
import { PALETTE } from "../style.js";
import { NUMBERS, type PanelLayout } from "./panel-layout.js";

/** px: a triangle as large as the largest square cell. */
const LARGEST_SIDE = 96;
/** What a label of one line loses of a triangle's width at its middle. */
const LABEL_MARGIN = 9;
/** Half of the border's line. */
const EDGE = 1.5;

/** Cells between strips in three directions, every second one standing on its point. @param room px from side to side. */
export function threeWayLayout(rows: number, columns: number, room: number): PanelLayout {
  const side = Math.min(LARGEST_SIDE, (2 * (room - NUMBERS - EDGE)) / (columns + 1));
  const { clear, band, lines: strips, halves } = threeWayGrid(rows, columns, side, 0);
  const strip = Math.min(3, side / 12);
  const at = ({ line, half }: Crossing): Place => ({
    x: NUMBERS + (half * side) / 2,
    y: NUMBERS + line * band,
  });
  const corners = (cell: number): Place[] => {
    const [row, column] = [Math.floor(cell / columns), cell % columns];
    const [base, tip] = pointsUp(row, column) ? [row + 1, row] : [row, row + 1];
    return [
      at({ line: base, half: column }),
      at({ line: base, half: column + 2 }),
      at({ line: tip, half: column + 1 }),
    ];
  };
  const middle = (cell: number): Place => {
    const [a, b, c] = corners(cell);
    return { x: (a!.x + b!.x + c!.x) / 3, y: (a!.y + b!.y + c!.y) / 3 };
  };
  const right = NUMBERS + clear.width;
  const frame = { x: NUMBERS, y: NUMBERS, x2: px(right), y2: px(NUMBERS + clear.height) };
  return {
    ...{ width: clear.width, height: clear.height, columnStep: side / 2, rowStep: band },
    first: { x: NUMBERS + side / 2, y: NUMBERS + band / 2 },
    labelRoom: (2 / 3) * side - LABEL_MARGIN,
    middle,
    cells: (cells, style) =>
      polygons(
        cells.map(({ cell, share }) => {
          const { x, y } = middle(cell);
          const towards = (corner: Place): Place => ({
            x: x + share * (corner.x - x),
            y: y + share * (corner.y - y),
          });
          return { name: String(cell), corners: corners(cell).map(towards) };
        }),
        style,
      ),
    ground: [
      ...boxes([frame], { fill: PALETTE.hairline }),
      ...polygons(
        Array.from({ length: rows * columns }, (_, cell) => ({ name: String(cell), corners: corners(cell) })),
        { fill: PALETTE.wood },
      ),
    ],
    strips: [
      ...lines(
        strips.map(({ family, crossings }) => {
          const line = crossings[0]!.line;
          const [start, end] =
            family === "level"
              ? [at({ line, half: 0 }), at({ line, half: columns + 1 })]
              : [at(crossings[0]!), at(crossings.at(-1)!)];
          return { x: px(start.x), y: px(start.y), x2: px(end.x), y2: px(end.y) };
        }),
        { color: PALETTE.woodEdge, width: strip },
      ),
      ...boxes([frame], { fill: "transparent", stroke: PALETTE.woodEdge, strokeWidth: strip }),
    ],
    note: `The ${halves} grey halves at the sides, which the border cuts, are not reckoned.`,
  };
}
