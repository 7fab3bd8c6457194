import type { Cell } from "../lattice/cell.js";
import { cellOutline } from "../predict/cell-outline.js";
import type { CellPrediction, ProbeGap } from "../predict/predict-cell.js";
import { type AxisUnit, isAngle, quantityText } from "./axis-unit.js";
import { cellLegend } from "./cell/cell-legend.js";
import { cellPanel } from "./cell/cell-panel.js";
import { type JointBand, type JointLimits, jointBands } from "./cell/joint-bands.js";
import { niceMagnification } from "./cell/magnification.js";
import { ChartError } from "./chart-error.js";
import type { ChartOptions, ChartSpec } from "./chart-spec.js";
import { framed } from "./framed.js";

/** A cell or bench with its errors and where its pieces came to rest. */
export interface CellDrawingInput {
  readonly cell: Cell;
  /** As the prediction was made with (lay-out of `errorLayout`; rad, mm). */
  readonly errors: Float64Array;
  readonly prediction: Pick<CellPrediction, "probes" | "worstGap" | "worstPress"> & {
    readonly rest: Pick<CellPrediction["rest"], "pose">;
  };
}

export interface CellDrawingOptions extends ChartOptions, JointLimits {
  /** Unit of the gaps named: mm, in or thou. The scale bar is in mm or in inches with it. */
  readonly unit: AxisUnit;
  /** How many times life size movements are drawn, ≥ 0; default chosen, see `niceMagnification`. */
  readonly magnification?: number;
}

/**
 * The pieces where they lie, to scale, with every movement drawn larger by a stated factor; each joint by its state: wide, open, closed or pressed.
 *
 * @throws ChartError for an angle unit or a width too small; PredictError when a face has vanished.
 */
export function cellDrawing(input: CellDrawingInput, options: CellDrawingOptions): ChartSpec {
  const { cell, errors, prediction } = input;
  const { unit, width, snugLimit } = options;
  if (isAngle(unit))
    throw new ChartError(`Gaps have no such unit: it must be mm, in or thou; it is ${unit}.`);
  const outlineAt = (factor: number) => cellOutline(cell, errors, prediction.rest.pose, factor);
  const magnification =
    options.magnification ??
    niceMagnification({
      strip: cell.strip,
      worst: Math.max(prediction.worstGap, prediction.worstPress),
      snugLimit,
      outlineAt,
    });
  const outline = outlineAt(magnification);
  const bands = cell.joints.flatMap((joint, i) => {
    const gap = { toe: gapAt(prediction.probes, 2 * i), heel: gapAt(prediction.probes, 2 * i + 1) };
    return jointBands(joint, outline.joints[i]!, gap, options);
  });
  const sentences = findings(input, options);
  const title = options.title ?? TITLE;
  const drawn = `Pieces are drawn to scale, movements ${magnification} times as large.`;
  return framed(
    {
      title,
      notes: sentences,
      description: `${title} (${cell.name}). ${sentences.join(" ")} ${countText(bands)} ${drawn}`,
      width,
    },
    [cellPanel({ cell, outline, bands, prediction }, options), cellLegend(options)],
  );
}

const gapAt = (probes: readonly ProbeGap[], index: number): number => {
  const probe = probes[index];
  if (probe === undefined)
    throw new ChartError(
      `The prediction is not of this cell: it must have two probes a joint; number ${index} is missing.`,
    );
  return probe.gap;
};

const TITLE = "How the pieces lie";

/** Sentences on the widest gap and the deepest press. */
function findings({ prediction }: CellDrawingInput, options: CellDrawingOptions): string[] {
  const { unit, snugLimit } = options;
  const { probes, worstGap, worstPress } = prediction;
  const text = (value: number): string => quantityText(value, unit);
  const where = (gap: number): string => {
    const probe = probes.find((p) => p.gap === gap);
    return probe ? `at the ${probe.at} of ${probe.joint.replace("|", " on ")}` : "";
  };
  const gaps =
    worstGap <= snugLimit
      ? `Closed everywhere: no gap over ${text(snugLimit)}.`
      : `Widest gap ${text(worstGap)} ${where(worstGap)}.`;
  const presses =
    worstPress <= snugLimit
      ? `Nothing pressed deeper than ${text(snugLimit)}.`
      : `Deepest press ${text(worstPress)} ${where(-worstPress)}.`;
  return [gaps, presses];
}

function countText(bands: readonly JointBand[]): string {
  const joints = (state: JointBand["state"]): number =>
    new Set(bands.filter((band) => band.state === state).map((band) => band.joint)).size;
  return `Joints gaping beyond the limit: ${joints("wide")}; open within it: ${joints("open")}; pressed: ${joints("pressed")}; all joints: ${new Set(bands.map((band) => band.joint)).size}.`;
}
