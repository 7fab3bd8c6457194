import { DEGREE } from "../../core/geometry.js";
import { type LengthUnit, parseAngle, parseLength } from "../../core/quantity/index.js";
import type { PanelSide } from "../../model/cell/cell.js";
import type { CellPrediction, ProbeGap } from "../../physics/predict/predict-cell.js";
import { jointState } from "../../render/cell/cell-legend.js";
import { type Html, html, markup } from "../../render/html.js";
import { verdictWords } from "../../render/shared-text.js";
import { pieceLength, quantityText } from "../../render/shop-numbers.js";
import type { JointState } from "../../render/style.js";
import type { PlayCell } from "./play-cell.js";
import { furthest, type PlayJob, type Slider, sizeOf } from "./play-job.js";

/** A small length in the unit shown: mm to the thousandth, or thou to the tenth. */
export const lengthText = (mm: number, unit: LengthUnit): string =>
  unit === "mm" ? quantityText(mm, "mm", { digits: 3 }) : quantityText(mm, "thou");

/** A larger one: mm to the hundredth, or inches as a rule has them. */
export const sizeText = (mm: number, unit: LengthUnit): string => pieceLength(mm, unit);

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

/**
 * What was typed beside a slider, in degrees or mm: `0.35`, `0.1 mm`, `4 thou`, `0°30'`, `4 blunter`. A bare length is in mm or, in inches, in thou, as the field shows it.
 *
 * @throws QuantityError when it is no size
 * @throws RangeError when it is further off than the slider goes
 */
export function typedSize(slider: Slider, text: string, unit: LengthUnit): number {
  const [more, less] = slider.says;
  const bare = text.trim().replaceAll("−", "-");
  const word = [more, less].find((one) => bare.toLowerCase().endsWith(one));
  const written = word === undefined ? bare : bare.slice(0, -word.length).trim();
  const inThou = unit === "in" && /^[+-]?[\d.,]+$/.test(written) ? `${written} thou` : written;
  const size =
    slider.measure === "angle"
      ? parseAngle(written, { unit: "deg", what: slider.label }) / DEGREE
      : parseLength(inThou, { unit, what: slider.label });
  const value = (word === less ? -1 : 1) * size;
  const most = furthest(slider);
  if (Math.abs(value) > most + 1e-9)
    throw new RangeError(
      `${slider.label}: this page goes to ± ${sliderTexts(slider, most, unit).short.replace("+", "")}, not to “${text.trim()}”.`,
    );
  return value;
}

/** Whether a cell closes: no gap and no press beyond the job's limits. */
export const closes = (
  { widestGap, deepestPress }: Pick<CellPrediction, "widestGap" | "deepestPress">,
  { limits }: PlayJob,
): boolean => widestGap <= limits.gap && deepestPress <= limits.snug;

/** Less than this is printed as nothing, mm. */
const SHOWN = 0.0005;

/** What texts of a cell that is played with need of it. */
type Named = Pick<PlayCell, "job" | "names">;

/** Whether the cell closes, and the widest gap and the deepest press with their places. */
export function verdictText(prediction: CellPrediction, { job, names }: Named, unit: LengthUnit): string {
  const { probes, widestGap, deepestPress } = prediction;
  const where = (gap: number): string => {
    const probe = probes.find((one) => one.gap === gap);
    if (!probe || Math.abs(gap) < SHOWN) return "";
    // Hyphens that no line breaks at: hinge-1 is one word.
    return ` at the ${probe.at}${probe.side ? `, ${probe.side},` : ""} of ${(names.get(probe.joint) ?? probe.joint).replaceAll("-", "\u2011")}`;
  };
  const gap = `Widest gap ${lengthText(widestGap, unit)}${where(widestGap)}.`;
  const press = `Deepest press ${lengthText(deepestPress, unit)}${where(-deepestPress)}.`;
  return `${verdictWords(prediction, job)}. ${gap} ${press}`;
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
  { job, names }: Named,
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
      return html`<tr><th scope="row">${names.get(joint) ?? joint}</th>${ends}</tr>`;
    }),
  );
}
