import type { TopLevelSpec } from "vega-lite";

// The shapes of Vega-Lite that charts are put together from: kept apart, so that no public declaration names the types of the library.

type Stacked = Extract<TopLevelSpec, { vconcat: unknown }>;

/** One view of a chart, and one layer of marks in it. */
export type ChartPanel = Extract<Stacked["vconcat"][number], { layer: unknown; mark?: never }>;

export type Layer = ChartPanel["layer"][number];
