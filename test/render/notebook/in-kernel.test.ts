import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { isScript, isUnfitKernel, PRELOAD } from "../../../src/render/notebook/preload.js";

const ROOT = resolve(import.meta.dirname, "../../..");
const MODULES = join(ROOT, "node_modules");

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "in-kernel-"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Run {
  /** The runner is gone before the kernel has started. */
  readonly alone?: boolean;
}

/** What a program prints and tells its parent when `node` runs it with `args` before it; `kernel` is where it stands in for tslab's own. */
async function run(program: string, args: readonly string[], kernel: string, { alone = false }: Run = {}) {
  // As the runner has it: the last argument is the connection file, and its folder goes when the kernel does.
  const own = mkdtempSync(join(folder, "own-"));
  const connection = join(own, "connection.json");
  writeFileSync(connection, "{}");
  const child: ChildProcess = spawn(
    process.execPath,
    [...args, kernel, program, "kernel", "--config-path", connection],
    { stdio: ["ignore", "pipe", "pipe", "ipc"], detached: true },
  );
  if (alone) child.disconnect();
  const told: unknown[] = [];
  let out = "";
  child.on("message", (message) => told.push(message));
  child.stdout?.on("data", (chunk) => {
    out += chunk;
  });
  child.stderr?.on("data", (chunk) => {
    out += chunk;
  });
  // Without a channel Node emits no "close".
  const signal = await new Promise((done) => child.once(alone ? "exit" : "close", (_, by) => done(by)));
  return { out: out.trim(), told, signal, leaves: existsSync(own) };
}

/** A folder like tslab's with a program of ours instead of its own; `files` are those beside it. */
function standIn(name: string, files: Readonly<Record<string, string>>): string {
  const root = join(folder, name, "node_modules", "tslab");
  for (const [path, text] of Object.entries({ "bin/tslab.cjs": PROGRAM, ...files })) {
    mkdirSync(join(root, path, ".."), { recursive: true });
    writeFileSync(join(root, path), text);
  }
  return join(root, "bin", "tslab.cjs");
}

/** Runs the text it is given with the installed libraries at hand. */
const PROGRAM = `const need = require("node:module").createRequire(${JSON.stringify(join(ROOT, "x.js"))});
new Function("need", "return (async () => {" + process.argv[2] + "})()")(need).then(() => process.exit(0));`;

const jupyter = (path: string) => `module.exports = require(${JSON.stringify(join(MODULES, path))});`;
const FIT = { "dist/jupyter.js": jupyter("tslab/dist/jupyter.js"), "../zeromq/index.js": jupyter("zeromq") };

/** A cell that tslab's own executor runs; only the TypeScript compiler before it is left out. */
const ONE_CELL = `const { createExecutor } = need("tslab/dist/executor.js");
  const node = { convert: (before, output) => ({ output, diagnostics: [] }) };
  const executor = createExecutor("/nowhere", { node }, { error: (e) => console.log(e.stack.match(/at (.*)/)[1]), log() {} });
  await executor.execute("throw new Error('x')");
  await new Promise((done) => setTimeout(done, 20));`;

/** More messages in one turn than zeromq takes, on a socket that nobody reads. */
const MANY_MESSAGES = `const { Publisher } = need("zeromq");
  const publisher = new Publisher({ linger: 0 });
  await publisher.bind("ipc://" + process.argv.at(-1) + ".sock");
  const sent = await Promise.allSettled(Array.from({ length: 3000 }, () => publisher.send("x")));
  console.log(sent.filter(({ status }) => status === "rejected").length, publisher.sendHighWaterMark);
  publisher.close();`;

// It reaches into two libraries where they document nothing. It was written for the versions in the lock file; another one needs another look.
describe("what is loaded into the kernel", () => {
  it.each([
    ["tslab", "1.0.22"],
    ["zeromq", "6.8.0"],
  ])("was written for the %s that is installed", (name, version) => {
    const { version: installed } = JSON.parse(readFileSync(join(MODULES, name, "package.json"), "utf8"));
    expect(
      installed,
      `${name} is another version: see whether src/render/notebook/in-kernel.ts and failures.ts still fit it, then name the version there and here`,
    ).toBe(version);
  });

  it("names the scripts of cells, as tslab's executor runs them, and tells their text", async () => {
    const kernel = standIn("fit", FIT);
    const [plain, loaded] = await Promise.all([run(ONE_CELL, [], kernel), run(ONE_CELL, PRELOAD, kernel)]);
    expect(plain.out, "tslab names its scripts by itself now").toMatch(/evalmachine/);
    expect(loaded.out, "tslab runs its cells in another way now").toMatch(/cell-script-1\.js/);
    const [script] = loaded.told.filter(isScript);
    expect(script?.code).toContain("throw new Error('x')");
    expect(loaded.told.filter(isUnfitKernel)).toEqual([]);
  });

  it("has zeromq's publisher send any number of messages in one turn, and drop none", async () => {
    const kernel = standIn("many", { ...FIT, "../zeromq/index.js": jupyter("zeromq") });
    const [plain, loaded] = await Promise.all([
      run(MANY_MESSAGES, [], kernel),
      run(MANY_MESSAGES, PRELOAD, kernel),
    ]);
    expect(plain.out, "zeromq takes them by itself now").not.toMatch(/^0 0$/);
    expect(loaded.out, "zeromq's publisher sends in another way now").toBe("0 0");
  });

  it("ends, with its folder, where the runner was gone before it had started", async () => {
    const program = "setTimeout(() => {}, 5000); await new Promise(() => {});";
    const { signal, leaves } = await run(program, PRELOAD, standIn("alone", FIT), { alone: true });
    expect(signal).toBe("SIGKILL");
    expect(leaves).toBe(false);
  });

  it.each([
    ["tslab without its writer", { ...FIT, "dist/jupyter.js": "exports.a = 1;" }, /tslab has no writer/],
    ["tslab laid out otherwise", { "../zeromq/index.js": "" }, /tslab has no dist\/jupyter\.js/],
    [
      "zeromq of another shape",
      { ...FIT, "../zeromq/index.js": "exports.socket = () => {};" },
      /zeromq has no/,
    ],
  ])("says what is missing: %s", async (name, files, sentence) => {
    const { told } = await run(
      "setTimeout(() => {}, 50);",
      PRELOAD,
      standIn(name.replaceAll(" ", "-"), files),
    );
    expect(told.filter(isUnfitKernel).map(({ unfit }) => unfit)).toEqual([expect.stringMatching(sentence)]);
  });
});
