import { createRequire } from "node:module";
import { type Chart, pngBytes } from "../charts/draw-chart.js";
import { html, raw } from "../html.js";
import { type Drawing, sideBySide, svgSize } from "../svg.js";
import { type MimeBundle, type MultilineText, textOf } from "./notebook.js";

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
 * Drawings as SVG, a {@link StoredDrawings}. Not `image/svg+xml`: `nbconvert` prefers that form to PNG, and then its
 * sanitiser takes the shapes out of it and leaves the text; a form that it does not know it passes by.
 */
export const SVG_MIME = "application/vnd.sukima.svg+json";

/** What {@link SVG_MIME} holds. */
export interface StoredDrawings {
  /** One drawing, or those that stand side by side. */
  readonly svg: readonly string[];
  /** The same for a narrow page, where it differs. */
  readonly narrow?: readonly string[];
}

/** px of a PNG for one px of the drawing, so that it is sharp on a screen of high resolution. */
const SHARPNESS = 2;
/** Between two drawings side by side, px. */
const BETWEEN = 12;

/** Width of a chart that fills a notebook's column, px. */
export const FULL_WIDTH = 720;
/** Width of the same chart on a phone, px. */
export const NARROW_WIDTH = 360;

/**
 * Shows a chart, a drawing, Markdown (any string), HTML or a live page below the notebook cell that calls it. HTML goes into the page as it
 * is: escape what comes from a file. A chart is shown as Vega-Lite, PNG, SVG and text; each viewer takes what it can.
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
    showDrawings([what.svg], { text: what.text, also: { "text/html": liveFrame(what) } });
  else showDrawings([what.svg], { text: what.text, also: vegaLiteOf(what) });
}

/**
 * Shows a chart at the full width of the notebook's column, and on a phone at the width of a phone.
 *
 * @param draw draws it for a width in pixels
 * @throws Error outside of a notebook cell
 * @example
 * await showWide((width) => drawChart(curvesChart(curves, { title: "Gap and angle", x, y, width })));
 */
export async function showWide(draw: (width: number) => Chart | Promise<Chart>): Promise<void> {
  const [wide, narrow] = [await draw(FULL_WIDTH), await draw(NARROW_WIDTH)];
  showDrawings([wide.svg], { text: wide.text, also: vegaLiteOf(wide), narrow: [narrow.svg] });
}

/**
 * Shows two drawings side by side, on a phone one below the other: sharp and blunt, before and after.
 *
 * @throws Error outside of a notebook cell
 * @example
 * showPair(await drawChart(sharp), await drawChart(blunt));
 */
export function showPair(left: Chart | Drawing, right: Chart | Drawing): void {
  showDrawings([left.svg, right.svg], { text: `${left.text}\n\n${right.text}` });
}

const vegaLiteOf = ({ vegaLite }: Chart): Bundle =>
  vegaLite === undefined ? {} : { [VEGA_LITE_MIME]: vegaLite };

interface Shown {
  readonly text: string;
  readonly also?: Bundle;
  readonly narrow?: readonly string[];
}

function showDrawings(svg: readonly string[], { text, also = {}, narrow }: Shown): void {
  const whole = sideBySide(svg, BETWEEN);
  const width = Math.round(svgSize(whole).width);
  const png = pngBytes(whole, SHARPNESS * width);
  displayBundle(
    {
      ...also,
      ...(png === null ? {} : { "image/png": Buffer.from(png).toString("base64") }),
      [SVG_MIME]: { svg, ...(narrow === undefined ? {} : { narrow }) } satisfies StoredDrawings,
      "text/plain": text,
    },
    png === null ? {} : { "image/png": { width } },
  );
}

/**
 * The drawings among the forms of an output: those of {@link SVG_MIME}, else one of `image/svg+xml`; undefined for none.
 */
export function drawingsOf(data: MimeBundle): StoredDrawings | undefined {
  const own = data[SVG_MIME] as Partial<StoredDrawings> | undefined;
  const isList = (value: unknown): value is string[] =>
    Array.isArray(value) && value.every((one) => typeof one === "string");
  if (isList(own?.svg) && own.svg.length > 0)
    return { svg: own.svg, ...(isList(own.narrow) ? { narrow: own.narrow } : {}) };
  const svg = data["image/svg+xml"];
  return svg === undefined ? undefined : { svg: [textOf(svg as MultilineText)] };
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
  const write = loaded
    .filter((module) => /[\\/]tslab[\\/]dist[\\/]jupyter\.js$/.test(module?.filename ?? ""))
    .map((module) => module?.exports.lastWriteDisplayData as WriteDisplayData | null | undefined)
    .find((found) => found);
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
  // One frame and nothing beside it: all that the frame shows is in its attributes.
  if (!html.startsWith(OPENING) || !/^<iframe [^<>]*><\/iframe>$/.test(html)) return undefined;
  const [, source] = SCRIPTS.exec(html) ?? [];
  return source?.replaceAll("&#39;", "'");
}
