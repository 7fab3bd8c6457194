import { createHash } from "node:crypto";
import { describe, expect, it } from "vitest";
import type { NotebookCell, Output } from "../../../src/render/notebook/notebook.js";
import { type PageOptions, renderNotebook } from "../../../src/render/page/render-notebook.js";
import { code, displayed, markdown, notebook } from "../notebook/build-notebook.js";

const page = (cells: NotebookCell[], options?: PageOptions) => renderNotebook(notebook(...cells), options);
const main = (html: string): string => /<main>([\s\S]*)<\/main>/.exec(html)![1]!;
const shown = async (...outputs: Output[]) =>
  main(await page([code("1", ...outputs)]))
    .replace(/<details[\s\S]*<\/details>/, "")
    .trim();
const policyOf = (html: string): string => /Content-Security-Policy" content="([^"]*)"/.exec(html)![1]!;

/** What a browser would fetch by itself: everything but links to follow and names of XML vocabularies. */
const fetched = (html: string): string[] =>
  [
    ...html.matchAll(/\s(?:src|srcset|poster|data|xlink:href)=["']?([^"'\s>]+)/gi),
    ...html.matchAll(/<(?:link|use|image|base)\b[^>]*\shref=["']?([^"'\s>]+)/gi),
    ...html.matchAll(/url\(["']?([^)]+)\)/gi),
    ...html.matchAll(/@import\s+(\S+)/gi),
  ]
    .map((match) => match[1]!)
    .filter((address) => !/^(data:|#)/.test(address));

const SLIDER_SPEC = {
  $schema: "https://vega.github.io/schema/vega-lite/v5.json",
  data: { values: [{ a: 1 }, { a: 2 }] },
  params: [{ name: "limit", value: 1, bind: { input: "range", min: 0, max: 3 } }],
  transform: [{ filter: "datum.a <= limit" }],
  mark: "point",
  encoding: { x: { field: "a", type: "quantitative" } },
};
const slider = displayed({
  "application/vnd.vegalite.v5+json": SLIDER_SPEC,
  "image/svg+xml": "<svg>still</svg>",
});

describe("the page", () => {
  it("has a title, a language, a viewport and a policy that allows nothing from outside", async () => {
    const html = await page([markdown("text\n\n# Gaps *now* #"), code("1")], { file: "a.ipynb", lang: "de" });
    expect(html).toContain('<html lang="de">');
    expect(html).toContain('<meta name="viewport" content="width=device-width, initial-scale=1">');
    expect(html).toContain("<title>Gaps now</title>");
    expect(html).toContain("@media print");
    expect(policyOf(html)).toBe(
      "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'",
    );
    expect(html).not.toContain("<script");
  });

  it("is named by the caller, else by its first heading, else by its file", async () => {
    const named = async (cells: NotebookCell[], options: PageOptions) =>
      /<title>(.*)<\/title>/.exec(await page(cells, options))![1];
    expect(await named([markdown("# A")], { title: "B <", file: "c.ipynb" })).toBe("B &lt;");
    expect(await named([markdown("## A")], { file: "c.ipynb" })).toBe("c.ipynb");
  });

  it("folds code away and numbers it", async () => {
    const cell = { ...code('if (a < b) "x" & y'), execution_count: 3 };
    expect(main(await page([cell])).trim()).toBe(
      '<details class="code"><summary>Code 3</summary><pre tabindex="0"><code>if (a &lt; b) &quot;x&quot; &amp; y</code></pre></details>',
    );
  });

  it("fetches nothing", async () => {
    const html = await page([
      markdown("[a link](https://example.org) and $x^2$\n\n![dot](data:image/png;base64,AAAA)"),
      code(
        "1",
        displayed({ "image/svg+xml": '<svg xmlns="http://www.w3.org/2000/svg"><g fill="url(#a)"/></svg>' }),
      ),
      code("2", displayed({ "image/png": "AAAA" })),
      code("3", slider),
    ]);
    expect(fetched(html.replaceAll(/<script>[\s\S]*?<\/script>/g, ""))).toEqual([]);
    expect(html).not.toMatch(/<script[^>]+src/);
    // What the check is for: it does see what it should.
    expect(
      fetched(
        '<img src="https://a.b/c"> <link rel="x" href=https://a.b> <b style="background:url(http://a)">',
      ),
    ).toHaveLength(3);
  });
});

describe("outputs", () => {
  it("are escaped when they are text", async () => {
    const text = { output_type: "stream", name: "stdout", text: ["<i>&\n", "b"] } as const;
    expect(await shown({ ...text, text: [...text.text] })).toBe(
      '<pre class="stream">&lt;i&gt;&amp;\nb</pre>',
    );
    expect(await shown({ ...text, name: "stderr", text: "<" })).toBe('<pre class="complaint">&lt;</pre>');
    expect(await shown({ output_type: "error", ename: "E", evalue: "", traceback: ["<", "b"] })).toBe(
      '<pre class="error">&lt;\nb</pre>',
    );
    expect(await shown(displayed({ "text/plain": "<b>" }))).toBe(
      '<pre class="plain" tabindex="0">&lt;b&gt;</pre>',
    );
    expect(await shown(displayed({ "application/json": { a: "<b>" } }))).toContain("&lt;b&gt;");
  });

  it("pass as they are when the notebook wrote HTML or SVG", async () => {
    expect(await shown(displayed({ "text/html": ["<b>", "h</b>"] }))).toBe(
      '<div class="wide" tabindex="0"><b>h</b></div>',
    );
    const svg = '<?xml version="1.0"?>\n<!DOCTYPE svg>\n<svg>s</svg>';
    expect(await shown(displayed({ "image/svg+xml": svg }))).toBe(
      '<figure tabindex="0"><svg>s</svg></figure>',
    );
  });

  it("are drawings side by side, or another drawing for a narrow page", async () => {
    const own = "application/vnd.sukima.svg+json";
    expect(await shown(displayed({ [own]: { svg: ["<svg>a</svg>", "<svg>b</svg>"] } }))).toBe(
      '<figure tabindex="0"><div class="pair"><div><svg>a</svg></div><div><svg>b</svg></div></div></figure>',
    );
    expect(await shown(displayed({ [own]: { svg: ["<svg>a</svg>"], narrow: ["<svg>n</svg>"] } }))).toBe(
      '<figure tabindex="0"><div class="at-wide"><svg>a</svg></div><div class="at-narrow"><svg>n</svg></div></figure>',
    );
  });

  it("are shown in one form, SVG before all others", async () => {
    const all = {
      "text/html": "<b>h</b>",
      "image/png": "AA\nAA",
      "text/markdown": "*m*",
      "text/plain": 'a "b"',
    };
    const { "text/html": _, ...withoutHtml } = all;
    expect(await shown(displayed({ ...all, "image/svg+xml": "<svg>s</svg>" }))).toContain("<svg>");
    expect(await shown(displayed(all))).toContain("<b>h</b>");
    expect(await shown(displayed(withoutHtml))).toBe(
      '<figure tabindex="0"><img src="data:image/png;base64,AAAA" alt="a &quot;b&quot;"></figure>',
    );
    expect(await shown(displayed({ "text/markdown": "*m*", "text/plain": "m" }))).toBe("<p><em>m</em></p>");
  });
});

describe("charts with sliders", () => {
  it("bring Vega along, allowed by hash", async () => {
    const html = await page([code("1", slider)]);
    const scripts = [...html.matchAll(/<script>([\s\S]*?)<\/script>/g)].map((match) => match[1]!);
    expect(scripts).toHaveLength(2);
    for (const script of scripts)
      expect(policyOf(html)).toContain(`'sha256-${createHash("sha256").update(script).digest("base64")}'`);
    expect(policyOf(html)).not.toMatch(/script-src[^;]*unsafe-inline/);
    expect(html).toContain('<figure id="chart-0" tabindex="0"><svg>still</svg></figure>');
    expect(scripts[1]).toContain('"input":"range"');
  });

  it("cannot end the script with their data", async () => {
    const spec = { ...SLIDER_SPEC, title: "</script><!-- <b>" };
    const html = await page([code("1", displayed({ "application/vnd.vegalite.v5+json": spec }))]);
    expect(html.match(/<\/script>/g)).toHaveLength(2);
    expect(html).not.toContain("<!--");
  });

  it("are the only ones: data that has a field named bind is no slider", async () => {
    const spec = { ...SLIDER_SPEC, params: [], transform: [], data: { values: [{ a: 1, bind: 2 }] } };
    const html = await page([
      code("1", displayed({ "application/vnd.vegalite.v5+json": spec, "image/svg+xml": "<svg/>" })),
    ]);
    expect(html).not.toContain("<script");
  });
});
