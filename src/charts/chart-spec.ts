import type { TopLevelSpec } from "vega-lite";
import { ChartError } from "./chart-error.js";
import type { SvgLabels, VegaLiteSpec } from "./render/spec-to-svg.js";
import { DEFAULT_WIDTH, LEAST_WIDTH, RIM } from "./style.js";

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
    throw new ChartError(
      `The chart is too narrow: its width must be at least ${LEAST_WIDTH} px; it is ${width}.`,
    );
  return width - 2 * RIM;
}

type Stacked = Extract<TopLevelSpec, { vconcat: unknown }>;

/** One view of a chart, and one layer of marks in it. */
export type Panel = Extract<Stacked["vconcat"][number], { layer: unknown; mark?: never }>;
/** Views side by side. */
export interface PanelRow {
  readonly hconcat: Panel[];
  readonly spacing: number;
}
export type Layer = Panel["layer"][number];
