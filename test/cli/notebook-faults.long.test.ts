import { spawn } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, readFileSync, readlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";
import { runSukima } from "./support/run-sukima.js";

const MAIN = resolve(import.meta.dirname, "../../dist/cli/main.js");
const JOB = resolve(import.meta.dirname, "../../data/alcove-screen");

/** A notebook of one cell. */
const book = (source: string): string =>
  JSON.stringify({
    nbformat: 4,
    nbformat_minor: 5,
    metadata: {},
    cells: [{ cell_type: "code", id: "a", metadata: {}, execution_count: null, source, outputs: [] }],
  });

describe("a notebook that does not come to its end", () => {
  it("does not find sukima, and says where it has to lie", async () => {
    const folder = inFolder({ "book.ipynb": book('import * as sukima from "sukima";') });
    const args = ["notebook", join(folder, "book.ipynb"), "--job", JOB, "--out", join(folder, "out")];
    const { code, stderr } = await runSukima(...args);
    expect(stderr).toMatch(
      /Cannot find module 'sukima'.*move it below Sukima's own folder, or run “npm install/,
    );
    expect(code).toBe(1);
  });

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
    const source = `require("node:child_process").spawn("sleep", ["1000"], { stdio: "ignore" });
require("node:fs").writeFileSync(${JSON.stringify(begun)}, ""); for (;;) {}`;
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
    expect((await kernelsIn(folder)).length).toBeGreaterThan(1);
    child.kill(signal);
    expect(await ended).toBe(code);
    expect(stderr).toMatch(says);
    while ((await kernelsIn(folder)).length > 0) await wait(50);
    expect(existsSync(out) ? readdirSync(out) : []).toEqual([]);
    while (foldersOf(child.pid).length > 0) await wait(50);
  });

  it("ends what its cells have started when it comes to its end, and leaves no folder of its kernel", async () => {
    const source = `const { pid } = require("node:child_process").spawn("sleep", ["1000"], { stdio: "ignore" });\npid > 0`;
    const folder = inFolder({ "book.ipynb": book(source) });
    const { code } = await runSukima(
      ...["notebook", join(folder, "book.ipynb"), "--job", JOB, "--out", join(folder, "out")],
    );
    expect(code).toBe(0);
    expect(await kernelsIn(folder)).toEqual([]);
  });

  it("prints more than a page can hold", async () => {
    const folder = inFolder({
      "book.ipynb": book('for (let i = 0; i < 30; i++) console.log("x".repeat(1e6));'),
    });
    const { code, stderr } = await runSukima(
      ...["notebook", join(folder, "book.ipynb"), "--job", JOB, "--out", join(folder, "out")],
    );
    expect(code).toBe(1);
    expect(stderr).toMatch(/book\.ipynb was stopped in cell 1: its outputs are too large/);
    expect(await kernelsIn(folder)).toEqual([]);
  });

  it("leaves a folder with its key when all is killed, which the next run removes", async () => {
    const left = join(tmpdir(), "sukima-kernel-99999999-abcdef");
    mkdirSync(left);
    const folder = inFolder({ "book.ipynb": book("1 + 1") });
    const { code } = await runSukima(
      ...["notebook", join(folder, "book.ipynb"), "--job", JOB, "--out", join(folder, "out")],
    );
    expect([code, existsSync(left)]).toEqual([0, false]);
  });
});

/** Between two looks at what is waited for; a test that waits in vain ends by its timeout. */
const wait = (ms: number): Promise<void> => new Promise((done) => setTimeout(done, ms));

/** The folders of kernels of one runner. */
const foldersOf = (pid: number | undefined): string[] =>
  readdirSync(tmpdir()).filter((name) => name.startsWith(`sukima-kernel-${pid}-`));

/** Kernels, and what their cells have started, that run in a folder, by number of their process. */
async function kernelsIn(folder: string): Promise<string[]> {
  return readdirSync("/proc").filter((name) => {
    try {
      return (
        /^\d+$/.test(name) &&
        readlinkSync(`/proc/${name}/cwd`) === folder &&
        readFileSync(`/proc/${name}/cmdline`, "utf8").match(/tslab|sleep/) !== null
      );
    } catch {
      return false;
    }
  });
}
