import type { Chart } from "../../charts/render/chart.js";
import { liveFrame } from "../page/live-frame.js";
import { displayBundle } from "./display-bundle.js";

/** HTML of the notebook's own making, with the same in plain text for where there is no HTML. */
export interface Html {
  readonly html: string;
  readonly text?: string;
}

/** A page of its own within the notebook, and a still picture of it for where there can be none. */
export interface Live {
  /** A whole HTML document that loads nothing. */
  readonly page: string;
  readonly title: string;
  readonly svg: string;
  readonly text: string;
}

/** JupyterLab draws this form itself, with its own Vega-Lite of major version 5. */
export const VEGA_LITE_MIME = "application/vnd.vegalite.v5+json";

/**
 * Shows a chart, Markdown (any string), HTML or a live page below the notebook cell that calls it. HTML goes into the page as it
 * is: escape what comes from a file.
 *
 * @throws Error outside of a notebook cell
 * @example
 * show("The worst gap is **0.08 mm**.");
 * show(await chart(spec, { title: "Gaps", description: "Gap at each joint, in mm." }));
 */
export function show(what: Chart | Html | Live | string): void {
  if (typeof what === "string") displayBundle({ "text/markdown": what, "text/plain": what });
  else if ("html" in what)
    displayBundle({
      "text/html": what.html,
      ...(what.text === undefined ? {} : { "text/plain": what.text }),
    });
  else if ("page" in what)
    displayBundle({
      "text/html": liveFrame(what),
      "image/svg+xml": what.svg,
      "text/plain": what.text,
    });
  else displayBundle({ [VEGA_LITE_MIME]: what.vegaLite, "image/svg+xml": what.svg, "text/plain": what.text });
}
