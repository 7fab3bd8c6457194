import { PALETTE, SIDE_BY_SIDE, STROKE } from "../style.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import { type Meaning, plotted, SIGN, SIGN_SIZE, signs, tidy, valueAxis } from "./grammar.js";
import { rowAxis } from "./row-axis.js";

/** How far a reading lies from the model, in its own standard deviations: (reading − prediction)/σ, positive = the reading is larger. */
export interface ResidualRow {
  readonly id: string;
  /** In the joiner's words; named in the notes where the reading stands out. */
  readonly label: string;
  readonly residual: number;
}

const TITLE = "What the model leaves over";
const MARKS = 12;
/** Guides, in standard deviations: about 5 % and 0.3 % of good readings lie beyond them (normal distribution). */
export const RESIDUAL_GUIDES = { outer: 3, inner: 2 } as const;
/** The axis reaches at least to here, and never further than that: a residual beyond is a triangle at the end. */
const LEAST_REACH = 3.6;
const MOST_REACH = 6.5;

const WITHIN = { text: "within ±2", shape: SIGN.dot, color: PALETTE.measured };
const BETWEEN = { text: "2 to 3", shape: SIGN.dot, color: PALETTE.attention, fill: PALETTE.paper };
const BEYOND = { text: "beyond ±3", shape: SIGN.cross, color: PALETTE.attention };
const BELOW_AXIS = { ...BEYOND, text: "below the axis", shape: SIGN.openLow, unlisted: true };
const ABOVE_AXIS = { ...BEYOND, text: "above the axis", shape: SIGN.openHigh, unlisted: true };
const MEANINGS: readonly Meaning[] = [WITHIN, BETWEEN, BEYOND, BELOW_AXIS, ABOVE_AXIS];

/**
 * Standardised residuals, one line a reading, with guides at ±2 and ±3.
 *
 * @throws UserError (code "chart") when there are no rows or a residual is not finite.
 */
export function residualsChart(rows: readonly ResidualRow[], options: ChartOptions = {}): ChartSpec {
  requireRows(rows, "residuals");
  for (const { id, residual } of rows) requireFinite(residual, `residual of reading ${id}`);
  const { width, title = TITLE } = options;
  const { inner, outer } = RESIDUAL_GUIDES;
  const largest = Math.max(...rows.map(({ residual }) => Math.abs(residual)));
  const reach = tidy(Math.min(MOST_REACH, Math.max(LEAST_REACH, 1.08 * largest)));
  const meaningOf = (residual: number): Meaning => {
    const size = Math.abs(residual);
    if (size > reach) return residual < 0 ? BELOW_AXIS : ABOVE_AXIS;
    return size <= inner ? WITHIN : size <= outer ? BETWEEN : BEYOND;
  };
  // The figures of both guides need room on either side.
  const ticks = plotWidth(width) < SIDE_BY_SIDE ? [-6, -3, 0, 3, 6] : [-6, -3, -2, 0, 2, 3, 6];
  const x = valueAxis(
    "value",
    "Reading minus prediction (standard deviations)",
    width,
    { domain: [-reach, reach], nice: false },
    { ticks: ticks.filter((tick) => Math.abs(tick) < reach) },
  );
  const { y, lines, height } = rowAxis(
    rows.map(({ id, residual }) => ({ label: id, figures: signed(residual) })),
    width,
    MARKS,
    { beside: true },
  );
  const values = rows.map(({ id, residual }, i) => ({
    line: lines[i],
    id,
    residual: tidy(residual),
    meaning: meaningOf(residual).text,
    value: Math.max(-reach, Math.min(reach, tidy(residual))),
  }));
  const beyond = rows.filter(({ residual }) => Math.abs(residual) > outer);
  const note =
    beyond.length === 0
      ? `No reading lies beyond ±${outer}.`
      : `Beyond ±${outer}: ${beyond.map(({ id, label, residual }) => `${id}, ${label} (${signed(residual)})`).join("; ")}.`;
  const description = `${title}: standardised residuals of ${rows.length} readings. ${note}`;
  const guide = (places: readonly number[], color: string, strokeDash: number[]) => ({
    data: { values: places.map((value) => ({ value })) },
    mark: { type: "rule" as const, color, strokeWidth: STROKE.fine, strokeDash },
    encoding: { x },
  });
  return plotted(
    { title, notes: [note], description, width },
    {
      height,
      layer: [
        guide([0], PALETTE.quiet, []),
        guide([-inner, inner], PALETTE.earlier, [2, 3]),
        guide([-outer, outer], PALETTE.attention, [7, 3]),
        {
          data: { values },
          mark: { type: "rule", color: PALETTE.measuredPale, strokeWidth: STROKE.mark },
          encoding: { x, y, x2: { datum: 0 } },
        },
        {
          data: { values },
          mark: { type: "point", size: SIGN_SIZE, strokeWidth: STROKE.mark, opacity: 1 },
          encoding: { x, y, ...signs(MEANINGS, width, "stroke", "fill", "shape") },
        },
      ],
    },
  );
}

const signed = (value: number): string => {
  const text = Math.abs(value).toFixed(1);
  return Number(text) === 0 ? text : `${value < 0 ? "−" : "+"}${text}`;
};
