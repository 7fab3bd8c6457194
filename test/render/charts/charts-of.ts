import type { ChartSpec } from "../../../src/render/charts/chart-spec.js";

interface ChannelView {
  readonly field?: string;
  readonly title?: readonly string[];
  readonly axis?: { readonly title?: readonly string[]; readonly labelExpr?: string } | null;
  readonly legend?: { readonly values?: readonly string[] };
  readonly scale?: { readonly domain?: readonly (string | number)[]; readonly range?: readonly unknown[] };
}

type Row = Record<string, number | string>;

/** The parts of a spec that tests look at. */
export interface LayerView {
  readonly data: { readonly values: readonly Row[] };
  readonly mark: { readonly type: string; readonly [key: string]: unknown };
  readonly encoding: Readonly<Record<string, ChannelView>>;
}
export interface PanelView {
  readonly width: number;
  readonly height: number;
  readonly layer: readonly LayerView[];
}

/** The plots of a chart from above to below. */
export const panelsOf = (spec: ChartSpec): readonly PanelView[] =>
  (spec.vconcat ?? [spec]) as readonly PanelView[];
export const layersOf = (spec: ChartSpec): LayerView[] => panelsOf(spec).flatMap(({ layer }) => layer);

/** All rows that carry this meaning, in the order in which they stand in the chart. */
export const rowsOf = (spec: ChartSpec, meaning: string): Row[] =>
  layersOf(spec).flatMap(({ data }) => data.values.filter((row) => row.meaning === meaning));

/** The meanings in the legend. */
export const legendOf = (spec: ChartSpec): string[] => [
  ...new Set(
    layersOf(spec).flatMap(({ encoding }) =>
      Object.values(encoding).flatMap(({ field, scale, legend }) =>
        field === "meaning" ? (legend?.values ?? scale?.domain ?? []).map(String) : [],
      ),
    ),
  ),
];

/** How each meaning is drawn by a channel. */
export const signsOf = (spec: ChartSpec, channel: "shape" | "strokeDash" | "stroke" | "fill"): unknown[] => [
  ...(layersOf(spec).find(({ encoding }) => encoding[channel]?.scale)?.encoding[channel]?.scale?.range ?? []),
];

/** The labels of the rows of every plot, from above to below; a label of several lines as several. */
export const rowLabelsOf = (spec: ChartSpec): string[] =>
  panelsOf(spec).flatMap(({ layer }) => {
    const written = layer.flatMap(({ encoding }) => encoding.y?.axis?.labelExpr ?? [])[0];
    const labels = Object.entries(JSON.parse(written?.replace(/\[datum\.value\]$/, "") ?? "{}") as object);
    return labels.sort(([a], [b]) => Number(a) - Number(b)).map(([, label]) => String(label));
  });

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
        .flatMap(({ title, axis }) => (title ?? axis?.title)?.join(" ") ?? []),
    ),
  ]);

/** Rows of the marks that carry this property with this value. */
export const rowsWith = (spec: ChartSpec, property: string, value: unknown, type?: string): Row[] =>
  layersOf(spec)
    .filter(({ mark }) => mark[property] === value && (type === undefined || mark.type === type))
    .flatMap(({ data }) => data.values);

/** Where the triangles of open ends point, plot by plot. */
export const openEndsOf = (panel: PanelView): unknown[] =>
  panel.layer
    .filter(({ mark, encoding }) => mark.type === "point" && encoding.shape && !encoding.shape.field)
    .flatMap(({ data }) => data.values.map(({ end }) => end));
