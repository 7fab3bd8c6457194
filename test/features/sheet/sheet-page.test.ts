import { cpSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { sheetCommand, sheetPage } from "../../../src/features/sheet/sheet-page.js";

const folder = mkdtempSync(join(tmpdir(), "sukima-sheet-page-"));
const start = (files: Record<string, string>) =>
  ({ folder: "job", jobFile: "job.yaml", files, units: "mm" }) as const;

describe("the bench page as a file", () => {
  it("cannot be ended or opened anew by what a job says", () => {
    const text = 'title: "</script><img src=x onerror=alert(1)>"';
    const page = sheetPage(start({ "job.yaml": text }), 'const a = "</script><!--";');
    expect(page.split("</script>")).toHaveLength(3);
    expect(page).not.toContain("<img");
    const [, data] = /<script type="application\/json" id="start">(.*?)<\/script>/s.exec(page)!;
    expect(JSON.parse(data!).files["job.yaml"]).toBe(text);
  });

  it("lets nothing run or load but its own script", () => {
    const page = sheetPage(start({}), "1");
    const [, policy] = /Content-Security-Policy" content="([^"]*)"/.exec(page)!;
    const allowed = Object.fromEntries(policy!.split("; ").map((rule) => [rule.split(" ")[0], rule]));
    expect(allowed["default-src"]).toBe("default-src 'none'");
    expect(allowed["script-src"]).toMatch(/^script-src 'sha256-[\w+/=]+' 'wasm-unsafe-eval'$/);
    expect(Object.keys(allowed).sort()).toEqual([
      "base-uri",
      "default-src",
      "form-action",
      "script-src",
      "style-src",
      "worker-src",
    ]);
  });

  it("has the files that the job names with it, and refuses what the command line refuses", () => {
    const job = join(folder, "own");
    mkdirSync(job);
    cpSync("data/patterns/diamond.yaml", join(job, "mine.yaml"));
    const pattern = readFileSync(join(job, "mine.yaml"), "utf8").replace("pattern: diamond", "pattern: mine");
    writeFileSync(join(job, "mine.yaml"), pattern);
    writeFileSync(join(job, "job.yaml"), "pattern: mine.yaml\nopening: 60\nstrip: 3\n");
    const out = join(folder, "own.html");
    expect(sheetCommand(job, { out, units: "mm" })).toContain(out);
    const [, data] = /id="start">(.*?)<\/script>/s.exec(readFileSync(out, "utf8"))!;
    expect(Object.keys(JSON.parse(data!).files).sort()).toEqual(["job.yaml", "mine.yaml"]);
    expect(JSON.parse(data!).folder).toBe("own");
    writeFileSync(join(job, "job.yaml"), "pattern: mine.yaml\nopening: sixty\nstrip: 3\n");
    expect(() => sheetCommand(job, { out, units: "mm" })).toThrow(/Opening/);
  });
});
