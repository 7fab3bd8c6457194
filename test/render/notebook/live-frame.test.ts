import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { livePage } from "../../../src/features/play/live-page.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { liveFrame, scriptOfFrame } from "../../../src/render/notebook/display.js";
import { renderNotebook } from "../../../src/render/page/render-notebook.js";
import { code, displayed, notebook } from "./build-notebook.js";

const job = loadJob(resolve(import.meta.dirname, "../../../data/alcove-screen"));
const live = livePage(job, "start('</script>');");
const policyOf = (html: string): string => /Content-Security-Policy" content="([^"]*)"/.exec(html)![1]!;
const rendered = (data: Record<string, unknown>) => renderNotebook(notebook(code("1", displayed(data))));

describe("a page within a page", () => {
  it("is whole, and inert in what surrounds it", () => {
    const frame = liveFrame(live);
    const [, inside] = /srcdoc="([^"]*)"><\/iframe>$/.exec(frame)!;
    expect(inside).not.toMatch(/[<>']/);
    const marks = { "&lt;": "<", "&gt;": ">", "&quot;": '"', "&#39;": "'", "&amp;": "&" } as const;
    const back = inside!.replaceAll(/&(?:lt|gt|quot|#39|amp);/g, (mark) => marks[mark as "&lt;"]);
    expect(back).toBe(live.page);
  });

  it("has its one script allowed by the report, by hash, and no other", async () => {
    const html = await rendered({ "text/html": liveFrame(live), "image/svg+xml": live.svg });
    const [, own] = /script-src ('sha256-[^']+')/.exec(policyOf(live.page))!;
    expect(policyOf(html)).toContain(`; script-src ${own}`);
    expect(policyOf(html)).not.toContain("unsafe-eval");
    expect(policyOf(html).match(/sha256/g)).toHaveLength(1);
    expect(html).toContain('<iframe class="sukima-live"');
    expect(html).toContain('<div class="still"><svg');
  });

  it("is what other HTML is not: that gains no script by naming one", async () => {
    const html = `<p>script-src &#39;sha256-${"A".repeat(43)}=&#39;</p>`;
    expect(scriptOfFrame(html)).toBeUndefined();
    expect(policyOf(await rendered({ "text/html": html }))).not.toContain("script-src");
  });

  it("says in its still picture what is drawn, and how much larger", () => {
    expect(live.svg).toMatch(/<title>Ramp of point-67: 1.00° sharper<\/title><desc>.*Widest gap 0.091 mm/);
    expect(live.svg).toMatch(
      /<text[^>]*>Ramp of point-67: 1.00° sharper; movements drawn × \d+<\/text><\/svg>/,
    );
    expect(live.text).toContain("still picture");
  });
});
