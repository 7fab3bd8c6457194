import { element, type Html, html, raw } from "../html.js";
import { scriptOfFrame } from "../notebook/display.js";
import { type MimeBundle, type MultilineText, type Output, textOf } from "../notebook/notebook.js";
import { renderMarkdown } from "./markdown.js";
import { boundSpec } from "./sliders.js";

const PIXELS = ["image/png", "image/jpeg", "image/gif"];

/** What runs on a page: charts with sliders, and scripts of pages within it as sources of its Content-Security-Policy. */
export interface Running {
  readonly specs: unknown[];
  readonly frames: string[];
}

/**
 * One output as HTML. HTML and SVG pass as they are: the notebook's own code wrote them.
 *
 * @param running takes what the output needs in order to run
 * @param place where the output stands, for messages
 */
export function outputHtml(output: Output, running: Running, place: string): Html {
  switch (output.output_type) {
    case "stream": {
      const name = output.name === "stderr" ? "complaint" : "stream";
      return html`<pre class="${name}">${textOf(output.text).trimEnd()}</pre>`;
    }
    case "error":
      return html`<pre class="error">${output.traceback.join("\n")}</pre>`;
    default:
      return bundleHtml(output.data, running, place);
  }
}

/** The richest form a page can show: a page within it before SVG before HTML before pixels before Markdown before plain text. */
function bundleHtml(data: MimeBundle, { specs, frames }: Running, place: string): Html {
  const text = (mime: string): string | undefined =>
    mime in data ? textOf(data[mime] as MultilineText) : undefined;
  const plain = text("text/plain") ?? "";
  const svg = text("image/svg+xml");
  const own = text("text/html");
  const script = own && scriptOfFrame(own);
  if (script) {
    frames.push(script);
    return html`<figure class="live">${raw(own)}${svg === undefined ? "" : html`<div class="still">${bareSvg(svg)}</div>`}</figure>`;
  }
  const spec = boundSpec(data);
  if (svg !== undefined || spec !== undefined) {
    const id = spec === undefined ? undefined : `chart-${specs.push(spec) - 1}`;
    return element("figure", { id, tabindex: 0 }, svg === undefined ? plain : bareSvg(svg));
  }
  if (own !== undefined) return html`<div class="wide" tabindex="0">${raw(own)}</div>`;
  for (const mime of PIXELS)
    if (mime in data) {
      const bytes = text(mime)?.replaceAll(/\s/g, "") ?? "";
      return html`<figure tabindex="0"><img src="data:${mime};base64,${bytes}" alt="${plain}"></figure>`;
    }
  const markdown = text("text/markdown") ?? text("text/latex");
  if (markdown !== undefined) return renderMarkdown(markdown, { place });
  return html`<pre class="plain" tabindex="0">${"text/plain" in data ? plain : JSON.stringify(data, null, 1)}</pre>`;
}

/** Without the lines that only a file of its own may have. */
const bareSvg = (svg: string): Html =>
  raw(svg.replace(/^\s*(?:<\?xml[^>]*\?>\s*)?(?:<!DOCTYPE[^>]*>\s*)?/, ""));
