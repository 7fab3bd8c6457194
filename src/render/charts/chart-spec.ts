import { UserError } from "../../core/errors.js";
import { DEFAULT_WIDTH, LEAST_WIDTH, RIM } from "../style.js";

/** A chart as a Vega-Lite specification: a plain object with a title for the eye and a description for those who cannot see it. */
export type ChartSpec = VegaLiteSpec & {
  readonly title: { readonly text: readonly string[] };
  readonly description: string;
};

/** What a screen reader says of a chart. */
export function chartLabels({ title, description }: ChartSpec): Required<SvgLabels> {
  return { title: title.text.join(" "), description };
}

/** What every chart takes. */
export interface ChartOptions {
  /** Width of the whole chart, px, at least {@link LEAST_WIDTH}; default {@link DEFAULT_WIDTH}. */
  readonly width?: number;
  /** Replaces the chart's own title. */
  readonly title?: string;
}

/** Room for marks between the rims, px. */
export function plotWidth(width: number = DEFAULT_WIDTH): number {
  if (!(Number.isFinite(width) && width >= LEAST_WIDTH))
    throw new UserError(
      "chart",
      `The chart is too narrow: its width must be at least ${LEAST_WIDTH} px; it is ${width}.`,
    );
  return width - 2 * RIM;
}

/** @throws UserError (code "chart") unless `value` is a finite number. */
export function requireFinite(value: number, what: string): void {
  if (!Number.isFinite(value))
    throw new UserError("chart", `The ${what} cannot be drawn: it must be a finite number; it is ${value}.`);
}

/** @throws UserError (code "chart") when there are no rows. */
export function requireRows(rows: readonly unknown[], what: string): void {
  if (rows.length === 0)
    throw new UserError("chart", `There are no ${what} to draw: a chart needs at least one; it was given 0.`);
}

/** @throws UserError (code "chart") when an interval that should hold is reversed; open ends (±Infinity) are allowed. */
export function requireInterval(low: number, high: number, what: string): void {
  if (Number.isNaN(low) || Number.isNaN(high) || low > high)
    throw new UserError(
      "chart",
      `The ${what} cannot be drawn: its lower end must not lie above its upper end; they are ${low} and ${high}.`,
    );
}

/**
 * A Vega-Lite specification as a plain object. Not the type of the library: the type check of a notebook cell is an
 * older TypeScript that should not have to read it.
 */
export type VegaLiteSpec = Readonly<Record<string, unknown>>;

/** What a screen reader says of a drawing. */
export interface SvgLabels {
  /** The name of the drawing. */
  readonly title?: string;
  /** What it shows, in a sentence or two. */
  readonly description?: string;
}
