import type { ChartSpec } from "../../../src/render/charts/chart-spec.js";

/** The parts of a spec that tests look at. */
export interface LayerView {
  readonly data: { readonly values: readonly Record<string, number | string>[] };
  readonly mark: { readonly type: string; readonly [key: string]: unknown };
  readonly encoding: Readonly<Record<string, { field: string; axis?: { title: readonly string[] } }>>;
}
export interface PanelView {
  readonly width: number;
  readonly height: number;
  readonly layer: readonly LayerView[];
}

/** The panels of a chart, those in a row from left to right. */
export const panelsOf = (spec: ChartSpec): readonly PanelView[] =>
  (spec.vconcat as readonly (PanelView | { readonly hconcat: readonly PanelView[] })[]).flatMap((panel) =>
    "hconcat" in panel ? panel.hconcat : [panel],
  );
export const layersOf = (spec: ChartSpec): LayerView[] => panelsOf(spec).flatMap(({ layer }) => layer);

/** All that is written in a chart but its axis titles; the rim around letters is a layer of its own and left out. */
export const wordsOf = (spec: ChartSpec): string[] =>
  layersOf(spec)
    .filter(({ mark }) => mark.type === "text" && mark.stroke === undefined)
    .flatMap(({ data }) => data.values.map(({ text }) => String(text)));

/** Titles of the axes, each once a panel. */
export const axisTitlesOf = (spec: ChartSpec): string[] =>
  panelsOf(spec).flatMap(({ layer }) => [
    ...new Set(
      layer
        .flatMap(({ encoding }) => Object.values(encoding))
        .flatMap((channel) => channel.axis?.title.join(" ") ?? []),
    ),
  ]);

/** Rows of the marks that carry this property with this value. */
export const rowsWith = (
  spec: ChartSpec,
  property: string,
  value: unknown,
  type?: string,
): Record<string, number | string>[] =>
  layersOf(spec)
    .filter(({ mark }) => mark[property] === value && (type === undefined || mark.type === type))
    .flatMap(({ data }) => data.values);
