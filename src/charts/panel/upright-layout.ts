import { boxes, px } from "../marks.js";
import { PALETTE } from "../style.js";
import { NUMBERS, type PanelLayout } from "./panel-layout.js";

/** px. */
const LARGEST_CELL = 64;
/** Blank beside a label. */
const LABEL_MARGIN = 4;

/** Cells between upright and level strips. @param room px from side to side. */
export function uprightLayout(rows: number, columns: number, room: number): PanelLayout {
  const side = Math.min(LARGEST_CELL, (room - NUMBERS) / columns);
  const [width, height] = [columns * side, rows * side];
  const strip = Math.min(3, side / 8);
  const boxAt = (x: number, y: number, wide: number, high: number) => ({
    ...{ x: px(x), y: px(y), x2: px(x + wide), y2: px(y + high) },
  });
  const corner = (cell: number) => ({
    x: NUMBERS + (cell % columns) * side,
    y: NUMBERS + Math.floor(cell / columns) * side,
  });
  const level = Array.from({ length: rows + 1 }, (_, i) =>
    boxAt(NUMBERS - strip / 2, NUMBERS + i * side - strip / 2, width + strip, strip),
  );
  const upright = Array.from({ length: columns + 1 }, (_, j) =>
    boxAt(NUMBERS + j * side - strip / 2, NUMBERS - strip / 2, strip, height + strip),
  );
  return {
    ...{ width, height, columnStep: side, rowStep: side, labelRoom: side - LABEL_MARGIN },
    first: { x: NUMBERS + side / 2, y: NUMBERS + side / 2 },
    middle: (cell) => ({ x: corner(cell).x + side / 2, y: corner(cell).y + side / 2 }),
    cells: (cells, style) =>
      boxes(
        cells.map(({ cell, share }) => {
          const blank = (side * (1 - share)) / 2;
          return boxAt(corner(cell).x + blank, corner(cell).y + blank, share * side, share * side);
        }),
        style,
      ),
    ground: boxes([boxAt(NUMBERS, NUMBERS, width, height)], { fill: PALETTE.wood }),
    strips: boxes([...level, ...upright], { fill: PALETTE.woodEdge }),
    note: null,
  };
}
