import { polygonOf } from "../../core/geometry.js";
import { type Cell, facePlane, type Joint, pieceFaces } from "../../model/cell/cell.js";
import { type ChartOptions, plotWidth } from "../charts/chart-spec.js";
import type { Attributes } from "../html.js";
import { PALETTE, STROKE } from "../style.js";
import { type Block, type Drawing, framedDrawing, legendBlock, polygon, rect, SWATCH } from "../svg.js";
import { shapes, viewOf, wallBands } from "./cell-panel.js";
import { jointMarks, numberDisc } from "./joint-marks.js";
import { boxAround, type NamedShape, nameLabels } from "./labels.js";
import { wallLines } from "./pattern-drawing.js";

/** A cell during assembly. */
export interface AssemblyInput {
  readonly cell: Cell;
  /** Names of the pieces that go in now, and of those already in place. */
  readonly fresh: readonly string[];
  readonly before: readonly string[];
  /** Joints to check, each with the text beside its number. */
  readonly joints: readonly { readonly joint: Joint; readonly text: string }[];
}

export interface AssemblyOptions extends ChartOptions {
  readonly title: string;
  readonly notes?: readonly string[];
}

/** Width of grid shown around the opening, in strip thicknesses. */
const GRID_RIM = 2.4;
const TALLEST = 420;

const THERE: Attributes = { fill: PALETTE.wood, stroke: PALETTE.woodEdge, "stroke-width": STROKE.hair };
const GOING_IN: Attributes = { fill: "#E7C98F", stroke: PALETTE.ink, "stroke-width": STROKE.mark };
const TO_COME: Attributes = {
  fill: "none",
  stroke: PALETTE.earlier,
  "stroke-width": STROKE.hair,
  "stroke-dasharray": "3 3",
};

/** Draws the pieces that go in now with dark outlines, those already in place paler, those still to come dashed, and the joints to check with numbers. */
export function assemblyDrawing(input: AssemblyInput, options: AssemblyOptions): Drawing {
  const { fresh, before, joints } = input;
  const { title, notes = [] } = options;
  const room = plotWidth(options.width);
  const listed = joints.map(({ text }, i) => `${i + 1} ${text}`).join("; ");
  const description =
    `${title}. ${notes.join(" ")} Going in: ${fresh.join(", ") || "nothing"}; there already: ${before.join(", ") || "nothing"}. ${listed === "" ? "" : `Joints to look at: ${listed}.`}`.trim();
  const legend =
    joints.length === 0
      ? []
      : [
          legendBlock(
            [
              ...(fresh.length === 0 ? [] : [swatch("goes in now", GOING_IN)]),
              ...(before.length === 0 ? [] : [swatch("there already", THERE)]),
              ...joints.map(({ text }, i) => ({
                text,
                swatch: (x: number, y: number) => numberDisc(i + 1, { x: x + SWATCH / 2, y }),
              })),
            ],
            room,
          ),
        ];
  return framedDrawing({ title, notes, description }, [cellBlock(input, room), ...legend]);
}

const swatch = (text: string, style: Attributes) => ({
  text,
  swatch: (x: number, y: number) => rect(x + 4, y - 5, SWATCH - 8, 10, style),
});

function cellBlock({ cell, fresh, before, joints }: AssemblyInput, room: number): Block {
  const wood = cell.pieces.map((piece, body) => ({
    name: piece.name,
    corners: polygonOf(pieceFaces(piece, body, cell.strip).map(facePlane)),
  }));
  const bands = wallBands(wallLines(cell), GRID_RIM * cell.strip);
  const view = viewOf(boxAround([...bands, ...wood].flatMap(({ corners }) => corners)), {
    width: room,
    tallest: TALLEST,
    above: 10,
  });
  const shown = (list: readonly NamedShape[]): NamedShape[] =>
    list
      .map(({ name, corners }) => ({ name, corners: view.clip(corners) }))
      .filter(({ corners }) => corners.length > 2);
  const drawn = shown(wood);
  const named = (names: readonly string[]): NamedShape[] => drawn.filter(({ name }) => names.includes(name));
  const [there, goingIn] = [named(before), named(fresh)];
  const toCome = drawn.filter(({ name }) => !before.includes(name) && !fresh.includes(name));
  return {
    width: room,
    height: view.height,
    content: [
      shapes(shown(bands), { fill: PALETTE.grid, stroke: PALETTE.grid, "stroke-width": 1 }),
      toCome.map(({ corners }) => polygon(corners, TO_COME)),
      shapes(there, THERE),
      shapes(goingIn, GOING_IN),
      nameLabels([...there, ...goingIn]),
      jointMarks(
        joints.map(({ joint }) => joint),
        view,
        [...there, ...goingIn].map(({ corners }) => corners),
      ),
    ],
  };
}
