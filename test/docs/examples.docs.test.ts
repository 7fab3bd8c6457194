import { execFile } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { blocks, documents, ROOT } from "./support/documents.js";

const run = promisify(execFile);
const folder = mkdtempSync(join(tmpdir(), "sukima-docs-"));

/** A folder with what the docs name: the data, the package under its name, and a copy of a job. */
beforeAll(() => {
  cpSync(join(ROOT, "data"), join(folder, "data"), { recursive: true });
  cpSync(join(ROOT, "data/alcove-screen"), join(folder, "my-copy"), { recursive: true });
  mkdirSync(join(folder, "node_modules"));
  symlinkSync(ROOT, join(folder, "node_modules/sukima"));
  symlinkSync(join(ROOT, "test"), join(folder, "test"));
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

const shell = (line: string) => run("bash", ["-c", line], { cwd: folder });

/** Commands that other checks run whole (notebooks, the install), or that stay open. */
const ELSEWHERE = /^(npm|npx sukima notebook|bash|JUPYTER_PATH)/;

/** Lines that speak of the maker's own job, with readings in it. */
const NEEDS_READINGS = new Set([
  "npx sukima calibrate my-screen",
  "npx sukima sheet my-screen --out bench.html",
]);

/** A line as it is run here: the command of this build, and fewer panels than the page's figures rest on. */
const runnable = (line: string): string =>
  line
    .replace("npx sukima", `"${process.execPath}" "${join(ROOT, "dist/cli/main.js")}"`)
    .replace("--panels 20000", "--panels 500");

const pages = documents().filter(({ path, text }) => path.endsWith(".md") && blocks(text, "sh").length > 0);

describe.each(pages)("the commands shown in $path", ({ text }) => {
  const lines = blocks(text, "sh")
    .flatMap((block) => block.split("\n"))
    .filter((line) => line !== "" && !ELSEWHERE.test(line));

  it.runIf(lines.length > 0)("run as they stand", async () => {
    rmSync(join(folder, "my-screen"), { recursive: true, force: true });
    for (const line of lines) {
      // Before these lines the maker has written a job, cut and measured: the demonstration stands in for that.
      if (NEEDS_READINGS.has(line))
        cpSync(join(ROOT, "data/alcove-screen"), join(folder, "my-screen"), { recursive: true });
      await expect(shell(runnable(line)), line).resolves.toBeDefined();
    }
  });
});

describe("the programs shown in docs/library.md", () => {
  const programs = blocks(documents().find(({ path }) => path === "docs/library.md")!.text, "ts");

  it("are there", () => expect(programs.length).toBeGreaterThan(2));

  it.each(programs)("run and print: %#", async (program) => {
    writeFileSync(join(folder, "example.mjs"), program);
    const { stdout, stderr } = await run(process.execPath, ["example.mjs"], { cwd: folder });
    expect(stderr).toBe("");
    expect(stdout).not.toMatch(/^$|undefined|NaN/);
  });
});

describe("a command that fails", () => {
  it("is seen", () => expect(shell(runnable("npx sukima calibrate no-such-job"))).rejects.toThrow());
});
