import { createHash } from "node:crypto";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { jobToPlay } from "../../../src/features/play/live-page.js";
import { playPage } from "../../../src/features/play/play-page.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { CAUTIONS } from "../../../src/render/cautions.js";

const demo = loadJob(resolve(import.meta.dirname, "../../../data/alcove-screen"));
const job = jobToPlay(demo);
const sha = (text: string): string => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;

describe("the file of the page to play with", () => {
  it("allows its own script and style by hash, and nothing else", () => {
    const page = playPage(job, "console.log('</script><b>')");
    const [, policy] = page.match(/Content-Security-Policy" content="([^"]+)"/) ?? [];
    const [, style] = page.match(/<style>([\s\S]*?)<\/style>/) ?? [];
    const scripts = [...page.matchAll(/<script>([\s\S]*?)<\/script>/g)].map(([, script]) => script!);
    expect(scripts).toHaveLength(1);
    expect(policy).toContain(`script-src ${sha(scripts[0]!)}`);
    expect(policy).toContain(`style-src ${sha(style!)}`);
    expect(policy).toMatch(/^default-src 'none'/);
  });

  it("takes a job's title as text, wherever it stands", () => {
    const title = `</script><img src=x onerror="alert(1)">`;
    const page = playPage({ ...job, title }, "0");
    expect(page).not.toContain("<img");
    const [, data] = page.match(/id="job">([\s\S]*?)<\/script>/) ?? [];
    expect((JSON.parse(data!) as { title: string }).title).toBe(title);
    expect(page).not.toContain(demo.file);
  });

  it("labels every slider, and shows the cautions", () => {
    const page = playPage(job, "0");
    const ids = [...page.matchAll(/type="range" id="([^"]+)"/g)].map(([, id]) => id);
    expect(ids).toHaveLength(10);
    for (const id of ids) expect(page).toContain(`<label for="${id}">`);
    for (const caution of CAUTIONS) expect(page).toContain(caution.slice(0, 40));
  });
});
