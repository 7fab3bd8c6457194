import { createHash } from "node:crypto";
import { createRequire } from "node:module";
import type { TopLevelSpec } from "vega-lite";
import { UserError } from "../../core/errors.js";
import { element, markup } from "../html.js";
import { type Drawing, wordsOf } from "../svg.js";
import { type ChartSpec, chartLabels, type SvgLabels, type VegaLiteSpec } from "./chart-spec.js";

/**
 * Draws a Vega-Lite specification as SVG, the same text for the same specification. The data must be in the
 * specification: nothing is fetched.
 *
 * @throws Error when the specification does not compile or Vega warns of anything, an empty extent or a missing field
 */
export async function specToSvg(spec: VegaLiteSpec, labels: SvgLabels = {}): Promise<string> {
  // Both have a top-level await, so a notebook cell (CommonJS) must not meet them before they are needed.
  const [vega, vegaLite] = await Promise.all([import("vega"), import("vega-lite")]);
  const warnings: string[] = [];
  const logger = vega.logger(vega.Warn, undefined, (_method, _level, args: readonly unknown[]) =>
    warnings.push(args.map(String).join(" ")),
  );
  const loader = {
    ...vega.loader(),
    load: (uri: string) => Promise.reject(chartError(`it wants to load ${uri}`)),
  };
  let svg: string;
  try {
    const compiled = vegaLite.compile(spec as unknown as TopLevelSpec, { logger });
    const view = new vega.View(vega.parse(compiled.spec), { renderer: "none", logger, loader });
    try {
      svg = await view.toSVG();
    } finally {
      view.finalize();
    }
  } catch (cause) {
    throw chartError(String(cause), cause);
  }
  if (warnings.length > 0) throw chartError(warnings.join("; "));
  return withLabels(withOwnIds(svg), labels);
}

function chartError(what: string, cause?: unknown): Error {
  return new Error(
    `the chart cannot be drawn; its specification must be whole and hold its data; ${what} (in a Vega-Lite specification).`,
    { cause },
  );
}

/**
 * Vega numbers its ids through the whole process, so one chart drawn twice differs and charts drawn in two processes
 * share ids. Here they are numbered from 1 behind a name made of the drawing itself.
 */
function withOwnIds(svg: string): string {
  const ids = [...new Set([...svg.matchAll(/ id="([^"]+)"/g)].map((match) => match[1]!))];
  const number = new Map(ids.map((id, i) => [id, String(i + 1)]));
  const rename = (prefix: string): string =>
    svg.replaceAll(/( id="|url\(#|href="#)([^")]+)/g, (whole, before: string, id: string) =>
      number.has(id) ? `${before}${prefix}${number.get(id)}` : whole,
    );
  const name = createHash("sha256").update(rename("c")).digest("hex").slice(0, 8);
  return rename(`c${name}-`);
}

function withLabels(svg: string, { title, description }: SvgLabels): string {
  const inside = String(
    markup(
      title === undefined ? "" : element("title", {}, title),
      description === undefined ? "" : element("desc", {}, description),
    ),
  );
  return withoutRoles(svg).replace(
    /<svg([^>]*)>/,
    (_whole, attributes: string) => `<svg role="img"${attributes}>${inside}`,
  );
}

/** Title and description speak for the whole drawing; Vega gives every group of marks a role besides, some without the text that such a role needs. */
const withoutRoles = (svg: string): string =>
  svg.replace(/<\w[^>]*>/g, (tag) => tag.replace(/ (?:role|aria-\w+)="[^"]*"/g, ""));

/** Families tried for "sans-serif", the family Vega writes; resvg itself would take the first font it finds. */
const SANS_SERIF = "Arial, Helvetica, Liberation Sans, DejaVu Sans, Noto Sans, sans-serif";

const PROBE =
  '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><text x="2" y="15" font-family="sans-serif">H</text></svg>';

/** Largest number of pixels of a PNG: drawing one takes some 10 bytes for each. */
const MOST_PIXELS = 40e6;

/** Size of a PNG. */
export interface PngOptions {
  /** Width of the picture, pixels, > 0; the height follows. */
  readonly width: number;
}

/**
 * A drawing as PNG on white. Letters are drawn with the fonts of the system, so the picture differs a little from one
 * machine to another; no font comes with this package.
 *
 * @throws UserError (code "picture") when it would be too large, or the drawing has text and the system has no font to draw it with
 * @throws RangeError when the width is not positive
 * @example
 * (await svgToPng('<svg xmlns="http://www.w3.org/2000/svg" width="8" height="8"/>', { width: 16 })).length > 0 // true
 */
export async function svgToPng(svg: string, { width }: PngOptions): Promise<Uint8Array> {
  const bytes = pngBytes(svg, width);
  if (bytes !== null) return bytes;
  throw new UserError(
    "picture",
    "The picture would lack its text: a PNG needs a font on this system, and none was found. Install one, DejaVu Sans for example, or draw an .svg.",
  );
}

/**
 * As `svgToPng`, at once; null when the drawing has text and the system has no font to draw it with.
 *
 * @param width px, > 0
 * @throws UserError (code "picture") when it would be too large
 * @throws RangeError when the width is not positive
 */
export function pngBytes(svg: string, width: number): Uint8Array | null {
  if (!(width > 0 && Number.isFinite(width)))
    throw new RangeError(
      `the picture has no size; a width is a number of pixels above 0; got ${width} (width).`,
    );
  // Native code, loaded when there is something to draw.
  const { Resvg } = createRequire(import.meta.url)("@resvg/resvg-js") as typeof import("@resvg/resvg-js");
  if (svg.includes("<text") && new Resvg(PROBE).getBBox() === undefined) return null;
  const drawn = svg.replaceAll('font-family="sans-serif"', `font-family="${SANS_SERIF}"`);
  const picture = new Resvg(drawn, { background: "white", fitTo: { mode: "width", value: width } });
  const height = Math.round((width * picture.height) / picture.width);
  if (width * height > MOST_PIXELS)
    throw new UserError(
      "picture",
      `The picture would be too large: at most ${MOST_PIXELS / 1e6} million pixels are drawn, and it would have ${width} × ${height}. Give a smaller --width.`,
    );
  return picture.render().asPng();
}

/** A chart or a drawing in the forms a notebook stores. */
export interface Chart {
  /** Of a chart; a drawing has none. */
  readonly vegaLite?: VegaLiteSpec;
  readonly svg: string;
  /** What it says, for those who cannot see it. */
  readonly text: string;
}

const SCHEMA = "https://vega.github.io/schema/vega-lite/v5.json";

/**
 * Draws a specification and keeps it beside the drawing, marked as Vega-Lite 5, which JupyterLab can draw itself. Its
 * title and description become the text for those who cannot see the drawing. A drawing is returned as it is.
 *
 * @throws Error as `specToSvg`
 */
export async function drawChart(spec: ChartSpec | Drawing): Promise<Chart> {
  if (isDrawing(spec)) return spec;
  const labels = chartLabels(spec);
  const svg = await specToSvg(spec, labels);
  return { vegaLite: { ...spec, $schema: SCHEMA }, svg, text: wordsOf(labels) };
}

const isDrawing = (spec: ChartSpec | Drawing): spec is Drawing => typeof spec.svg === "string";
