import { add, direction, scale, sub } from "../../core/geometry.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import type { Cell, PanelSide } from "../../model/cell/cell.js";
import { cellSide, commonMagnification } from "../../render/cell/cell-drawing.js";
import type { JointLimits } from "../../render/cell/cell-legend.js";
import { cellContent, type View, viewOf } from "../../render/cell/cell-panel.js";
import { boxAround } from "../../render/cell/labels.js";
import type { Html } from "../../render/html.js";
import { FONT, PALETTE } from "../../render/style.js";
import { group, rect } from "../../render/svg.js";
import type { Played } from "./play-cell.js";

export interface CellSvgOptions extends JointLimits {
  readonly unit: LengthUnit;
  /** How many times life size movements are drawn; `null` chooses. */
  readonly magnification: number | null;
  /** The side that a cell with a depth is drawn at, the back as seen through from the front; default the front. */
  readonly side?: PanelSide;
}

/** A drawing of a cell: what stands inside an `<svg>` of width and height {@link DRAWING}. */
export interface CellSvg {
  readonly inside: Html;
  readonly magnification: number;
}

/** Side of the drawing, px of its viewBox: as small as a phone shows it, so that its letters can be read there. */
export const DRAWING = 340;
/** Strip thicknesses shown of the grid around the opening. */
const AROUND = 1.5;

/** The cell as reports draw it, within a square that stays where it is while the sliders move. */
export function cellSvg(cell: Cell, { errors, prediction }: Played, options: CellSvgOptions): CellSvg {
  const { side = "front", unit } = options;
  const input = { cell, errors, prediction };
  const magnification = options.magnification ?? commonMagnification([input], options);
  const shown = cellSide(input, options, magnification, cell.depth === undefined ? undefined : side);
  const content = cellContent(shown, { ...options, unit: unit === "mm" ? "mm" : "thou" }, openingView(cell));
  const paper = rect(0, 0, DRAWING, DRAWING, { fill: PALETTE.paper });
  return { magnification, inside: group({ "font-family": FONT }, paper, content) };
}

/** The opening in the middle, as large as it will go. */
function openingView({ walls, strip }: Cell): View {
  const { left, right, bottom, top } = boxAround(
    walls.flatMap(({ middle, normal, halfLength }) => {
      const along = scale(direction(normal + Math.PI / 2), halfLength);
      return [add(middle, along), sub(middle, along)];
    }),
  );
  const half = Math.max(right - left, top - bottom) / 2 + AROUND * strip;
  const [x, y] = [(left + right) / 2, (bottom + top) / 2];
  const box = { left: x - half, right: x + half, bottom: y - half, top: y + half };
  return viewOf(box, { width: DRAWING, tallest: DRAWING });
}
