import { UserError } from "../../core/errors.js";
import { type Cell, PANEL_SIDES, type PanelSide, sideDepth } from "../../model/cell/cell.js";
import { shortJointNames } from "../../model/cell/joint-names.js";
import { type CellPrediction, cellOutline, type ProbeGap } from "../../physics/predict/predict-cell.js";
import { type ChartOptions, plotWidth } from "../charts/chart-spec.js";
import { type AxisUnit, isAngle, quantityText } from "../shop-numbers.js";
import { DEFAULT_WIDTH, LEAST_WIDTH, PANEL_SPACING, RIM, SIZE } from "../style.js";
import { type Block, beside, type Drawing, framedDrawing, stacked, textBlock } from "../svg.js";
import {
  cellLegend,
  type JointBand,
  type JointLimits,
  jointBands,
  niceMagnification,
} from "./cell-legend.js";
import { type CellPanelInput, cellPanel } from "./cell-panel.js";

/** A cell or bench with its errors and the equilibrium of its pieces. */
export interface CellDrawingInput {
  readonly cell: Cell;
  /** The errors that the prediction was made with (layout of `errorLayout`; rad, mm). */
  readonly errors: Float64Array;
  readonly prediction: Pick<CellPrediction, "probes" | "widestGap" | "deepestPress"> & {
    readonly rest: Pick<CellPrediction["rest"], "pose">;
  };
}

/** Limits, unit and scale of a drawing of a cell. */
export interface CellDrawingOptions extends ChartOptions, JointLimits {
  /** Unit of the labelled gaps: mm, in or thou. The scale bar is in mm or in inches accordingly. */
  readonly unit: AxisUnit;
  /** Magnification of movements, a ratio ≥ 0, 1 for life size; chosen by `niceMagnification` by default. */
  readonly magnification?: number;
  /** A sentence that is added at the end of the description. */
  readonly also?: string;
}

/** Default width of a drawing with front and back side by side, px. */
export const DEFAULT_SIDES_WIDTH = 2 * DEFAULT_WIDTH;

/**
 * Draws the pieces at their positions, to scale, with every movement magnified by a stated factor, and each joint by its state: wide, open, closed or pressed.
 * A cell with a depth is drawn at its front and at its back, side by side if there is room.
 *
 * @throws UserError (code "chart") for an angle unit or a width too small; (code "cutting-error") when a face has vanished.
 */
export function cellDrawing(input: CellDrawingInput, options: CellDrawingOptions): Drawing {
  const { cell } = input;
  const { unit, title = TITLE } = options;
  if (isAngle(unit))
    throw new UserError("chart", `Gaps have no such unit: it must be mm, in or thou; it is ${unit}.`);
  const deep = cell.depth !== undefined;
  const room = plotWidth(options.width ?? (deep ? DEFAULT_SIDES_WIDTH : DEFAULT_WIDTH));
  const magnification = options.magnification ?? commonMagnification([input], options);
  const drawn = sidesOf(cell).map((side) => cellSide(input, options, magnification, side));
  const notes = [...findings(input, options), ...(deep ? [depthText(input, options)] : [])];
  const counted = drawn
    .map(({ side, bands }) => `${side === undefined ? "" : SIDE_SAYS[side]}${countText(bands)}`)
    .join(" ");
  const scale = `Pieces are drawn to scale, movements ${magnification} times as large.`;
  const description =
    `${title} (${cell.name}). ${notes.join(" ")} ${counted} ${scale} ${options.also ?? ""}`.trim();
  return framedDrawing({ title, notes, description }, [
    ...panels(drawn, options, room),
    cellLegend(options, room),
  ]);
}

const SIDE_SAYS: Record<PanelSide, string> = { front: "At the front: ", back: "At the back: " };

/** A cell as seen at one side of the panel, or at every depth if it has no depth. */
type CellSide = CellPanelInput & { readonly side: PanelSide | undefined };

const outlineOf = ({ cell, errors, prediction }: CellDrawingInput, side: PanelSide | undefined) => {
  const z = side === undefined ? 0 : sideDepth(cell, side);
  return (factor: number) => cellOutline(cell, errors, prediction.rest.pose, factor, z);
};

const sidesOf = ({ depth }: Cell): readonly (PanelSide | undefined)[] =>
  depth === undefined ? [undefined] : PANEL_SIDES;

/** A common magnification, a ratio, of the movements of all these cells, so that the drawings can be compared. */
export const commonMagnification = (inputs: readonly CellDrawingInput[], limits: JointLimits): number =>
  Math.min(
    ...inputs.flatMap((input) => sidesOf(input.cell).map((side) => sideMagnification(input, limits, side))),
  );

function sideMagnification(
  input: CellDrawingInput,
  { snugLimit }: JointLimits,
  side: PanelSide | undefined,
): number {
  const { cell, prediction } = input;
  return niceMagnification({
    strip: cell.strip,
    worst: Math.max(prediction.widestGap, prediction.deepestPress),
    snugLimit,
    outlineAt: outlineOf(input, side),
  });
}

/** The data to draw for a cell at one side of the panel, or at every depth for a cell without a depth. */
export function cellSide(
  input: CellDrawingInput,
  limits: JointLimits,
  magnification: number,
  side: PanelSide | undefined,
): CellSide {
  const { cell, prediction } = input;
  const outline = outlineOf(input, side)(magnification);
  const from = side === "back" ? 2 * cell.joints.length : 0;
  const bands = cell.joints.flatMap((joint, i) => {
    const faces = outline.joints[i];
    if (faces === undefined) return [];
    const at = from + 2 * i;
    const gap = { toe: gapAt(prediction.probes, at), heel: gapAt(prediction.probes, at + 1) };
    return jointBands(joint, faces, gap, limits);
  });
  if (side === undefined) return { cell, side, outline, bands, prediction };
  const probes = prediction.probes.filter((probe) => probe.side === side);
  const worst = (sign: 1 | -1): number => Math.max(0, ...probes.map(({ gap }) => sign * gap));
  return { cell, side, outline, bands, prediction: { probes, widestGap: worst(1), deepestPress: worst(-1) } };
}

const gapAt = (probes: readonly ProbeGap[], index: number): number => {
  const probe = probes[index];
  if (probe === undefined)
    throw new UserError(
      "chart",
      `The prediction is not of this cell: it must have two probes a joint; number ${index} is missing.`,
    );
  return probe.gap;
};

/** One drawing, or front and back: side by side if both are wide enough, otherwise one below the other. */
function panels(drawn: readonly CellSide[], options: CellDrawingOptions, room: number): Block[] {
  const half = Math.floor((room - PANEL_SPACING) / 2);
  const abreast = half >= LEAST_WIDTH - 2 * RIM;
  const blocks = drawn.map(({ side, ...one }): Block => {
    if (side === undefined) return cellPanel(one, options, room);
    const panel = cellPanel(one, { ...options, signed: true }, abreast ? half : room);
    const heading = textBlock([SIDE_HEADING[side]], { size: SIZE.heading, weight: "bold" }, HEADING_LINE);
    return stacked([heading, panel], 0);
  });
  return blocks.length > 1 && abreast ? [beside(blocks, PANEL_SPACING)] : blocks;
}

const SIDE_HEADING: Record<PanelSide, string> = { front: "Front", back: "Back, seen through" };
/** px. */
const HEADING_LINE = 18;

function depthText({ cell, prediction }: CellDrawingInput, { unit }: CellDrawingOptions): string {
  const { probes } = prediction;
  const half = probes.length / 2;
  const most = Math.max(...probes.slice(0, half).map(({ gap }, i) => Math.abs(gap - probes[half + i]!.gap)));
  const depth = cell.depth ?? 0;
  const strips = unit === "mm" ? `${Number(depth.toFixed(2))} mm` : `${Number((depth / 25.4).toFixed(3))} in`;
  return `Strips ${strips} deep: the gap of a joint differs from front to back by up to ${quantityText(most, unit)}. The back is drawn as seen through from the front.`;
}

const TITLE = "How the pieces lie";

/** Sentences on the widest gap and the deepest press. */
function findings({ cell, prediction }: CellDrawingInput, options: CellDrawingOptions): string[] {
  const { unit, snugLimit } = options;
  const { probes, widestGap, deepestPress } = prediction;
  const text = (value: number): string => quantityText(value, unit);
  const short = shortJointNames(cell);
  const where = (gap: number): string => {
    const probe = probes.find((p) => p.gap === gap);
    const side = probe?.side === undefined ? "" : `, ${probe.side}`;
    return probe ? `at the ${probe.at} of ${short.get(probe.joint) ?? probe.joint}${side}` : "";
  };
  const gaps =
    widestGap <= snugLimit
      ? `No gap over ${text(snugLimit)}.`
      : `Widest gap ${text(widestGap)} ${where(widestGap)}.`;
  const presses =
    deepestPress <= snugLimit
      ? `Nothing pressed deeper than ${text(snugLimit)}.`
      : `Deepest press ${text(deepestPress)} ${where(-deepestPress)}.`;
  return [gaps, presses];
}

function countText(bands: readonly JointBand[]): string {
  const joints = (state: JointBand["state"]): number =>
    new Set(bands.filter((band) => band.state === state).map((band) => band.joint)).size;
  return `Joints gaping beyond the limit: ${joints("wide")}; open within it: ${joints("open")}; pressed: ${joints("pressed")}; all joints: ${new Set(bands.map((band) => band.joint)).size}.`;
}
