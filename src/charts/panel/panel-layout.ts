import type { Layer } from "../chart-spec.js";
import type { AreaStyle, Place } from "../marks.js";

/** Room for the numbers of rows and columns, px. */
export const NUMBERS = 22;

/** How the cells of a panel lie on a drawing; px from its upper left corner, cells row by row from the top. */
export interface PanelLayout {
  readonly width: number;
  readonly height: number;
  /** From the middle of a column to the next, and of a row. */
  readonly columnStep: number;
  readonly rowStep: number;
  /** Middle of the first column, and of the first row. */
  readonly first: Place;
  /** Widest label that stands in a cell. */
  readonly labelRoom: number;
  readonly middle: (cell: number) => Place;
  /** Cells as they are, or each drawn smaller about its middle: `share` of its sides. */
  readonly cells: (
    cells: readonly { readonly cell: number; readonly share: number }[],
    style: AreaStyle,
  ) => Layer[];
  /** What lies below the cells' figures: the wood, and what the border cuts off. */
  readonly ground: readonly Layer[];
  /** The strips between the cells and the border around them. */
  readonly strips: readonly Layer[];
  /** What is drawn and not reckoned, in a sentence. */
  readonly note: string | null;
}
