import { type Content, element, type Html, html, raw } from "../html.js";
import { activePart, withoutLeading } from "../inert.js";
import { drawingsOf, type StoredDrawings, scriptOfFrame } from "../notebook/display.js";
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
 * One output as HTML. The page's policy keeps its HTML from running or loading anything; SVG is shown if it is a drawing and nothing else.
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
  const drawn = drawingsOf(data);
  const active = [...(drawn?.svg ?? []), ...(drawn?.narrow ?? [])]
    .map(activePart)
    .find((part) => part !== undefined);
  if (active !== undefined)
    return html`<pre class="complaint" tabindex="0">A picture is not shown, because it is more than a drawing: it has ${active}. ${plain}</pre>`;
  const own = text("text/html");
  const script = own && scriptOfFrame(own);
  if (script) {
    frames.push(script);
    return html`<figure class="live">${raw(own)}${drawn === undefined ? "" : html`<div class="still">${drawn.svg.map(bareSvg)}</div>`}</figure>`;
  }
  const spec = boundSpec(data);
  if (drawn !== undefined || spec !== undefined) {
    const id = spec === undefined ? undefined : `chart-${specs.push(spec) - 1}`;
    return element("figure", { id, tabindex: 0 }, drawn === undefined ? plain : drawnHtml(drawn));
  }
  if (own !== undefined) return html`<div class="wide" tabindex="0">${raw(withoutLeading(own))}</div>`;
  for (const mime of PIXELS)
    if (mime in data) {
      const bytes = text(mime)?.replaceAll(/\s/g, "") ?? "";
      return html`<figure tabindex="0"><img src="data:${mime};base64,${bytes}" alt="${plain}"></figure>`;
    }
  const markdown = text("text/markdown") ?? text("text/latex");
  if (markdown !== undefined) return renderMarkdown(markdown, { place });
  return html`<pre class="plain" tabindex="0">${"text/plain" in data ? plain : JSON.stringify(data, null, 1)}</pre>`;
}

/** One drawing, or several side by side where there is room; others for a narrow page if there are any. */
function drawnHtml({ svg, narrow }: StoredDrawings): Content {
  if (svg.length > 1)
    return html`<div class="pair">${svg.map((one) => html`<div>${bareSvg(one)}</div>`)}</div>`;
  if (narrow === undefined) return svg.map(bareSvg);
  return html`<div class="at-wide">${svg.map(bareSvg)}</div><div class="at-narrow">${narrow.map(bareSvg)}</div>`;
}

/** Without the lines that only a file of its own may have. */
const bareSvg = (svg: string): Html =>
  raw(svg.replace(/^\s*(?:<\?xml[^>]*\?>\s*)?(?:<!DOCTYPE[^>]*>\s*)?/, ""));
