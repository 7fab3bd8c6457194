import { createHash } from "node:crypto";
import type { TopLevelSpec } from "vega-lite";

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
  const inside = [
    title === undefined ? "" : `<title>${escapeText(title)}</title>`,
    description === undefined ? "" : `<desc>${escapeText(description)}</desc>`,
  ].join("");
  return svg.replace(
    /<svg([^>]*)>/,
    (_whole, attributes: string) => `<svg role="img"${attributes}>${inside}`,
  );
}

const escapeText = (text: string): string =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");
