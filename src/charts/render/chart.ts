import { type SvgLabels, specToSvg, type VegaLiteSpec } from "./spec-to-svg.js";

/** A chart in the three forms a notebook stores. */
export interface Chart {
  readonly vegaLite: VegaLiteSpec;
  readonly svg: string;
  /** What the chart says, for those who cannot see it. */
  readonly text: string;
}

const SCHEMA = "https://vega.github.io/schema/vega-lite/v5.json";

/**
 * Draws a specification and keeps it beside the drawing, marked as Vega-Lite 5, which JupyterLab can draw itself.
 *
 * @throws Error as `specToSvg`
 */
export async function chart(spec: VegaLiteSpec, labels: Required<SvgLabels>): Promise<Chart> {
  const svg = await specToSvg(spec, labels);
  return { vegaLite: { ...spec, $schema: SCHEMA }, svg, text: `${labels.title}. ${labels.description}` };
}
