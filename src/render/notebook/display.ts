import { createRequire } from "node:module";
import type { Chart } from "../charts/draw-chart.js";
import { html, raw } from "../html.js";

/** HTML of the notebook's own making, with the same in plain text for where there is no HTML. */
export interface HtmlOutput {
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
 * Shows a chart, a drawing, Markdown (any string), HTML or a live page below the notebook cell that calls it. HTML goes into the page as it
 * is: escape what comes from a file.
 *
 * @throws Error outside of a notebook cell
 * @example
 * show("The widest gap is **0.08 mm**.");
 * show(await drawChart(spec));
 */
export function show(what: Chart | HtmlOutput | Live | string): void {
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
  else
    displayBundle({
      ...(what.vegaLite === undefined ? {} : { [VEGA_LITE_MIME]: what.vegaLite }),
      "image/svg+xml": what.svg,
      "text/plain": what.text,
    });
}

type Bundle = Readonly<Record<string, unknown>>;
type WriteDisplayData = (content: { data: Bundle; metadata: Bundle; transient: object }) => void;

/**
 * Shows one output in several forms, keyed by MIME type; whoever shows it picks the form. Works only inside a cell:
 * tslab's public `display.raw` sends one form at a time, so this calls the private writer beneath it, the only place
 * that does.
 *
 * @throws Error outside of a notebook cell
 */
export function displayBundle(data: Bundle, metadata: Bundle = {}): void {
  // Looked up among what is loaded, so that the copy found is the one that runs the cells.
  const loaded = Object.values(createRequire(import.meta.url).cache);
  const jupyter = loaded.find((module) =>
    /[\\/]tslab[\\/]dist[\\/]jupyter\.js$/.test(module?.filename ?? ""),
  );
  const write = jupyter?.exports.lastWriteDisplayData as WriteDisplayData | null | undefined;
  if (!write)
    throw new Error(
      "there is nowhere to show this; show() and displayBundle() work inside a notebook cell; elsewhere, print or save the result.",
    );
  write({ data, metadata, transient: {} });
}

/** As tall as a screen, so that the drawing and some sliders are seen at once. */
const HEIGHT = "46rem";
const OPENING = '<iframe class="sukima-live"';

/**
 * A page within a page. It has an origin of its own and may run the script that its own Content-Security-Policy names, and print; all it shows stands in `srcdoc`.
 */
export const liveFrame = ({ page, title }: Pick<Live, "page" | "title">): string =>
  String(
    html`<iframe class="sukima-live" title="${title}" sandbox="allow-scripts allow-modals" style="width: 100%; height: ${HEIGHT}; border: 1px solid #cfc7b8" srcdoc="${raw(page)}"></iframe>`,
  );

const SCRIPTS = /script-src ((?:&#39;|')sha256-[A-Za-z0-9+/=]+(?:&#39;|'))/;

/** Of HTML that is a {@link liveFrame}: the script it may run, as a source of a Content-Security-Policy; the page around it must allow the same. */
export function scriptOfFrame(html: string): string | undefined {
  if (!html.startsWith(OPENING)) return undefined;
  const [, source] = SCRIPTS.exec(html) ?? [];
  return source?.replaceAll("&#39;", "'");
}
