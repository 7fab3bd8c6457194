import type { Job } from "../job/job.js";
import type { Panel } from "../job/panel.js";
import type { Arrangement } from "../lattice/arrangement.js";
import { WALLS } from "./cell-walls.js";
import { PanelError } from "./panel-error.js";

/** Where the strips and cells of one direction lie at nominal size, mm, counted from the inner face of the first border member. */
export interface GridAxis {
  /** Cells along it. */
  readonly cells: number;
  /** Middles of the border's first member, of each strip, and of the border's last member. */
  readonly strips: readonly number[];
  /** Middle of each cell. */
  readonly middles: readonly number[];
  /** From border to border. */
  readonly clear: number;
}

/** A panel at nominal size. */
export interface GridShape {
  readonly panel: Panel;
  /** Of one cell: clear width and height. */
  readonly opening: { readonly width: number; readonly height: number };
  readonly strip: number;
  /** Columns from the left: upright strips and cells. */
  readonly across: GridAxis;
  /** Rows from the top: level strips and cells. */
  readonly down: GridAxis;
  /** Outer size, mm. */
  readonly width: number;
  readonly height: number;
}

/** @throws PanelError when the job has no panel, or its cells do not have four walls at right angles. */
export function gridShape({
  panel,
  arrangement,
  strip,
}: Pick<Job, "panel" | "arrangement" | "strip">): GridShape {
  if (panel === null)
    throw new PanelError(
      "The job has no panel; a panel has rows and columns. Write into its file, for example: panel: { rows: 3, columns: 4 }",
    );
  const { thickness } = panel.border;
  const opening = openingOf(arrangement);
  const across = axis(panel.columns, opening.width, strip, thickness);
  const down = axis(panel.rows, opening.height, strip, thickness);
  const outer = ({ clear }: GridAxis): number => clear + 2 * thickness;
  return { panel, opening, strip, across, down, width: outer(across), height: outer(down) };
}

function openingOf({ name, walls }: Arrangement): GridShape["opening"] {
  const [left, right, top, bottom] = WALLS.map((wall) => walls.find((one) => one.name === wall));
  if (walls.length !== WALLS.length || !left || !right || !top || !bottom)
    throw new PanelError(
      `A panel of ${name} cannot be reckoned: its cells must have four walls at right angles, named ${WALLS.join(", ")}; they have ${walls.map((wall) => wall.name).join(", ")}.`,
    );
  return { width: right.middle.x - left.middle.x, height: top.middle.y - bottom.middle.y };
}

function axis(cells: number, opening: number, strip: number, border: number): GridAxis {
  const pitch = opening + strip;
  const clear = cells * opening + (cells - 1) * strip;
  const inner = Array.from({ length: cells - 1 }, (_, k) => (k + 1) * pitch - strip / 2);
  return {
    ...{ cells, clear },
    strips: [-border / 2, ...inner, clear + border / 2],
    middles: Array.from({ length: cells }, (_, k) => k * pitch + opening / 2),
  };
}
