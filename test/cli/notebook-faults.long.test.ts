import { spawn } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, readFileSync, readlinkSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";
import { runSukima } from "./support/run-sukima.js";

const MAIN = resolve(import.meta.dirname, "../../dist/cli/main.js");
const JOB = resolve(import.meta.dirname, "../../data/alcove-screen");

/** A notebook of one cell. */
const book = (source: string): string =>
  JSON.stringify({
    ...{ nbformat: 4, nbformat_minor: 5, metadata: {} },
    cells: [{ cell_type: "code", id: "a", metadata: {}, execution_count: null, source, outputs: [] }],
  });

describe("a notebook that does not come to its end", () => {
  it.each([
    ["never ends", "for (;;) {}", /it did not finish within 1 s\.$/],
    [
      "waits for ever",
      "await new Promise(() => setInterval(() => 0, 100))",
      /it did not finish within 1 s\.$/,
    ],
    [
      "kills its kernel",
      'process.kill(process.pid, "SIGKILL")',
      /was ended by SIGKILL while the cell ran\.$/,
    ],
    ["ends its kernel", "process.exit(0)", /was ended with exit code 0 while the cell ran\.$/],
    ["drives the terminal", 'throw new Error("\\u001b[2J\\u202Egone")', /\\u001B\[2J\\u202Egone\.$/],
  ])("a cell that %s", async (_, source, says) => {
    const folder = inFolder({ "book.ipynb": book(source), "kept.html": "mine" });
    const out = join(folder, "out");
    mkdirSync(out);
    writeFileSync(join(out, "book.html"), "previous");
    const args = ["notebook", join(folder, "book.ipynb"), "--job", JOB, "--out", out, "--cell-limit", "1"];
    const { code, stderr } = await runSukima(...args);
    expect(code).toBe(1);
    expect(stderr.trim()).toMatch(says);
    expect(stderr).not.toMatch(/\n\s+at /);
    expect(readdirSync(out)).toEqual(["book.html"]);
    expect(readFileSync(join(out, "book.html"), "utf8")).toBe("previous");
    expect(await kernelsIn(folder)).toEqual([]);
  });

  it.each([
    ["SIGINT", 130, /^Stopped by Ctrl-C: .*nothing was written/m],
    ["SIGTERM", null, /starting/],
    ["SIGKILL", null, /starting/],
  ] as const)("%s leaves no kernel behind, though its cell never ends", async (signal, code, says) => {
    const folder = inFolder({});
    const begun = join(folder, "begun");
    const source = `require("node:fs").writeFileSync(${JSON.stringify(begun)}, ""); for (;;) {}`;
    writeFileSync(join(folder, "book.ipynb"), book(source));
    const out = join(folder, "out");
    const child = spawn(process.execPath, [
      MAIN,
      "notebook",
      join(folder, "book.ipynb"),
      "--job",
      JOB,
      "--out",
      out,
    ]);
    let stderr = "";
    child.stderr.on("data", (chunk) => {
      stderr += chunk;
    });
    const ended = new Promise<number | null>((done) => child.once("exit", done));
    while (!existsSync(begun)) await wait(50);
    expect((await kernelsIn(folder)).length).toBeGreaterThan(0);
    child.kill(signal);
    expect(await ended).toBe(code);
    expect(stderr).toMatch(says);
    while ((await kernelsIn(folder)).length > 0) await wait(50);
    expect(existsSync(out) ? readdirSync(out) : []).toEqual([]);
  });
});

/** Between two looks at what is waited for; a test that waits in vain ends by its timeout. */
const wait = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));

/** Kernels that run in a folder, by number of their process. */
async function kernelsIn(folder: string): Promise<string[]> {
  return readdirSync("/proc").filter((name) => {
    try {
      return (
        /^\d+$/.test(name) &&
        readlinkSync(`/proc/${name}/cwd`) === folder &&
        readFileSync(`/proc/${name}/cmdline`, "utf8").includes("tslab")
      );
    } catch {
      return false;
    }
  });
}
