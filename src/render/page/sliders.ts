import { createHash } from "node:crypto";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import type { TopLevelSpec } from "vega-lite";
import { type Html, html, raw } from "../html.js";

const VEGA_LITE = /^application\/vnd\.vegalite\.v\d+\+json$/;

/** The Vega-Lite specification of an output that is to answer to sliders or other inputs; undefined for all others. */
export function boundSpec(data: Readonly<Record<string, unknown>>): unknown {
  const spec = Object.entries(data).find(([mime]) => VEGA_LITE.test(mime))?.[1];
  return hasBind(spec) ? spec : undefined;
}

function hasBind(value: unknown): boolean {
  if (typeof value !== "object" || value === null) return false;
  return Object.entries(value).some(
    ([key, item]) => key === "bind" || (key !== "data" && key !== "datasets" && hasBind(item)),
  );
}

/** Scripts of a page, and the sources that its Content-Security-Policy must allow for them. */
export interface Scripts {
  readonly html: Html;
  readonly sources: readonly string[];
}

/**
 * Puts Vega and the specifications into the page. The charts are drawn into the elements with the ids `chart-0`,
 * `chart-1`, …, in place of the still pictures there; if that fails the pictures stay.
 *
 * The policy names the two scripts by hash, so no other script runs. It must allow `eval`: Vega turns its
 * expressions into functions.
 */
export async function sliderScripts(specs: readonly unknown[]): Promise<Scripts> {
  if (specs.length === 0) return { html: raw(""), sources: [] };
  const vegaLite = await import("vega-lite");
  const compiled = specs.map((spec) => vegaLite.compile(spec as TopLevelSpec).spec);
  // The ready-made script lies beside Vega's entry point; its path is not among the package's exports.
  const entry = createRequire(import.meta.url).resolve("vega");
  const vega = await readFile(join(dirname(entry), "vega.min.js"), "utf8");
  const scripts = [vega, START.replace("SPECS", () => JSON.stringify(compiled))].map(inline);
  const hashes = scripts.map((script) => `'sha256-${createHash("sha256").update(script).digest("base64")}'`);
  return {
    html: html`${scripts.map((script) => html`<script>${raw(script)}</script>\n`)}`,
    sources: [...hashes, "'unsafe-eval'"],
  };
}

const START = `
for (const [i, spec] of SPECS.entries()) {
  const chart = document.getElementById("chart-" + i);
  const drawing = document.createElement("div");
  const controls = document.createElement("div");
  controls.className = "controls";
  drawing.setAttribute("role", "img");
  drawing.setAttribute("aria-label", [...chart.querySelectorAll("title, desc")].map((e) => e.textContent).join(". "));
  new vega.View(vega.parse(spec), { renderer: "svg", container: drawing, bind: controls, hover: true })
    .runAsync()
    .then(() => chart.replaceChildren(drawing, controls))
    .catch((error) => console.error(error));
}
`;

/** Text that cannot end or reopen the script element it stands in. */
const inline = (script: string): string =>
  script.replaceAll(/<(?=\/script|!--)/gi, "\\x3c").replaceAll("\r\n", "\n");
