import type { LengthUnit } from "../../core/quantity/index.js";
import type { PanelSide } from "../../model/cell/cell.js";
import { jointText } from "../../model/cell/face-id.js";
import type { CellPrediction, ProbeGap } from "../../physics/predict/predict-cell.js";
import { jointState } from "../../render/cell/cell-legend.js";
import { type Html, html, markup } from "../../render/html.js";
import { quantityText } from "../../render/shop-numbers.js";
import type { JointState } from "../../render/style.js";
import { type PlayJob, type Slider, sizeOf } from "./play-job.js";

/** A small length in the unit shown: mm to the thousandth, or thou to the tenth. */
export const lengthText = (mm: number, unit: LengthUnit): string =>
  unit === "mm" ? quantityText(mm, "mm", { digits: 3 }) : quantityText(mm, "thou");

/** A larger one: mm to the hundredth, or inches. */
export const sizeText = (mm: number, unit: LengthUnit): string =>
  quantityText(mm, unit === "mm" ? "mm" : "in");

/** What a slider stands at: `+0.35°`, and in words `0.35° sharper`. */
export function sliderTexts(
  slider: Slider,
  value: number,
  unit: LengthUnit,
): { short: string; words: string } {
  const size = sizeOf(slider, value);
  const text = (x: number, signed: boolean): string =>
    slider.measure === "angle"
      ? quantityText(x, "deg", { signed })
      : unit === "mm"
        ? quantityText(x, "mm", { signed })
        : quantityText(x, "thou", { signed });
  if (value === 0) return { short: text(0, false), words: "nothing off" };
  return {
    short: text(size, true),
    words: `${text(Math.abs(size), false)} ${slider.says[value > 0 ? 0 : 1]}`,
  };
}

/** Whether a cell closes: no gap and no press beyond the job's limits. */
export const closes = (
  { widestGap, deepestPress }: Pick<CellPrediction, "widestGap" | "deepestPress">,
  { limits }: PlayJob,
): boolean => widestGap <= limits.gap && deepestPress <= limits.snug;

/** Less than this is printed as nothing, mm. */
const SHOWN = 0.0005;

/** The widest gap and the deepest press with their places, and whether the cell closes. */
export function verdictText(prediction: CellPrediction, job: PlayJob, unit: LengthUnit): string {
  const { probes, widestGap, deepestPress } = prediction;
  const where = (gap: number): string => {
    const probe = probes.find((one) => one.gap === gap);
    if (!probe || Math.abs(gap) < SHOWN) return "";
    // Hyphens that no line breaks at: hinge-1 is one word.
    return ` at the ${probe.at}${probe.side ? `, ${probe.side},` : ""} of ${jointText(probe.joint, " on ").replaceAll("-", "\u2011")}`;
  };
  const gap = `Widest gap ${lengthText(widestGap, unit)}${where(widestGap)}.`;
  const press = `Deepest press ${lengthText(deepestPress, unit)}${where(-deepestPress)}.`;
  return `${gap} ${press} The cell ${closes(prediction, job) ? "closes" : "does not close"}.`;
}

const WORDS: Readonly<Record<JointState, string>> = {
  wide: "too wide",
  open: "open",
  closed: "closed",
  pressed: "pressed",
};

/** Rows of the table of joints at one side: name, toe, heel; each gap with its state in words and to full precision in `data-gap` (mm). */
export function jointRows(
  prediction: CellPrediction,
  job: PlayJob,
  unit: LengthUnit,
  side: PanelSide = "front",
): Html {
  const probes = prediction.probes.filter((probe) => probe.side === undefined || probe.side === side);
  const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };
  const cell = ({ gap }: ProbeGap): Html => {
    const state = jointState(gap, limits);
    return html`<td data-gap="${gap}" class="${state}">${lengthText(gap, unit)} ${WORDS[state]}</td>`;
  };
  const joints = [...new Set(probes.map(({ joint }) => joint))];
  return markup(
    joints.map((joint) => {
      const ends = probes.filter((probe) => probe.joint === joint).map(cell);
      return html`<tr><th scope="row">${jointText(joint, " on ")}</th>${ends}</tr>`;
    }),
  );
}
