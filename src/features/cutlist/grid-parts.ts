import { jobCell } from "../../inference/likelihood/specimen.js";
import { openingShape, type UprightOpening } from "../../model/cell/opening-shape.js";
import { type Family, gridStrips, type ThreeWayGrid, threeWayGrid } from "../../model/cell/three-way-grid.js";
import type { Job } from "../../model/job/job.js";
import type { Panel } from "../../model/job/panel.js";

/** Where a strip lies in a crossing of three, seen from the front. */
export type Layer = "bottom" | "middle" | "top";
const LAYERS: Readonly<Record<Family, Layer>> = { level: "bottom", falling: "middle", rising: "top" };

/** Strips of the grid, or members of the border, that are cut alike; lengths mm. */
export interface GridPart {
  readonly name: string;
  readonly of: "grid" | "border";
  readonly count: number;
  /** Tip to tip, finished. */
  readonly length: number;
  /** Middle of each lap from the end that they are counted from. */
  readonly laps: readonly number[];
  /** `null` where two strips cross, each lapped by half. */
  readonly layer: Layer | null;
}

/** A panel's grid and border, and how many cells its border cuts in half; `null` where there is no panel, or no straight strips that leave such cells. */
export function gridParts(job: Job): { readonly parts: GridPart[]; readonly halves: number } | null {
  const { panel, strip } = job;
  const opening = openingShape(jobCell(job).walls);
  if (panel === null || opening === null) return null;
  if (opening.kind === "upright") return { parts: uprightParts(panel, opening, strip), halves: 0 };
  const grid = threeWayGrid(panel.rows, panel.columns, opening.side, strip);
  return { parts: threeWayParts(panel, grid), halves: grid.halves };
}

function uprightParts({ rows, columns, border }: Panel, { width, height }: UprightOpening, strip: number) {
  const clear = (cells: number, opening: number): number => cells * opening + (cells - 1) * strip;
  const strips = (name: string, count: number, crossed: number, opening: number): GridPart => ({
    ...{ name: `grid strip, ${name}`, of: "grid", count, length: clear(crossed, opening), layer: null },
    laps: Array.from({ length: crossed - 1 }, (_, k) => (k + 1) * (opening + strip) - strip / 2),
  });
  return [
    strips("upright", columns - 1, rows, height),
    strips("level", rows - 1, columns, width),
    ...borderParts(border.thickness, clear(columns, width), clear(rows, height)),
  ].filter(({ count }) => count > 0);
}

function threeWayParts({ border }: Panel, grid: ThreeWayGrid): GridPart[] {
  const strips = gridStrips(grid);
  return [
    ...strips.map(({ family, count, tips, laps }, at): GridPart => {
      const alike = strips.filter((one) => one.family === family);
      const number = alike.length > 1 ? ` ${alike.indexOf(strips[at]!) + 1}` : "";
      const name = `grid strip, ${family}${number}`;
      return { ...{ name, of: "grid", count, length: tips, laps, layer: LAYERS[family] } };
    }),
    ...borderParts(border.thickness, grid.clear.width, grid.clear.height),
  ];
}

const borderParts = (thickness: number, width: number, height: number): GridPart[] =>
  (
    [
      ["upright", height],
      ["level", width],
    ] as const
  ).map(([name, clear]) => ({
    ...{ name: `border, ${name}`, of: "border", count: 2, length: clear + 2 * thickness },
    ...{ laps: [], layer: null },
  }));
