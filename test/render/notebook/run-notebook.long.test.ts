import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import {
  type CodeCell,
  type DisplayOutput,
  NotebookError,
  type Output,
  type StreamOutput,
  textOf,
} from "../../../src/render/notebook/notebook.js";
import { type CellStep, type RunResult, runNotebook } from "../../../src/render/notebook/run-notebook.js";
import { code, markdown, notebook } from "./build-notebook.js";

let cwd: string;
beforeAll(() => {
  cwd = mkdtempSync(join(tmpdir(), "run-"));
});
afterAll(() => rmSync(cwd, { recursive: true }));

const run = (...cells: string[]) =>
  runNotebook(notebook(...cells.map((cell) => code(cell))), { cwd, file: "a.ipynb" });
const outputsOf = ({ notebook }: RunResult, index: number): Output[] =>
  (notebook.cells[index] as CodeCell).outputs;
const printed = (outputs: Output[], name = "stdout"): string =>
  outputs
    .filter((output): output is StreamOutput => output.output_type === "stream" && output.name === name)
    .map(({ text }) => textOf(text))
    .join("");

/** A cell's first line: leaves the kernel's process id in a file. */
const leavePid = (file: string): string =>
  `import { writeFileSync } from "node:fs"; writeFileSync("${file}", String(process.pid));`;
function isAlive(file: string): boolean {
  const pid = Number(readFileSync(join(cwd, file), "utf8"));
  try {
    return process.kill(pid, 0);
  } catch {
    return false;
  }
}

describe("a notebook that runs", () => {
  let result: RunResult;
  const steps: CellStep[] = [];
  const source = notebook(
    markdown("# Title"),
    code('const a: number = 1;\nconsole.log("one", a);\nconsole.error("note");\na + 1'),
    code(""),
    code(
      'import { display } from "tslab";\ndisplay.html("<b>h</b>");\ndisplay.markdown("*m*");\ndisplay.png(new Uint8Array([1, 2, 3]));',
    ),
    code(
      'import { createRequire } from "node:module";\n' +
        'createRequire(process.cwd() + "/x.js")("tslab/dist/jupyter.js").lastWriteDisplayData({ data: { "image/svg+xml": "<svg/>", "text/plain": "t" }, metadata: {}, transient: {} });',
    ),
    code('console.log(process.cwd(), process.env["SOME_VARIABLE"]);\nawait Promise.resolve();'),
    code('function many(): void {\n  for (let i = 0; i < 5000; i++) console.log("line " + i);\n}\nmany();'),
    code('const unit = "mm";\nlet width = 3;\nconst $at = 4;'),
    code(
      "const height = 5;\nconst given = { unit, width, $at, height };\nconsole.log(given.unit, given.width, given.$at, given.height);",
    ),
  );

  beforeAll(async () => {
    const env = { ...process.env, SOME_VARIABLE: "given" };
    // The cells find tslab from the folder they run in.
    result = await runNotebook(source, { cwd: import.meta.dirname, env, onCell: (step) => steps.push(step) });
  });

  it("has no error", () => expect(result.error).toBeNull());

  it("finds a name of an earlier cell by its shorthand, where lines stay where they were", () => {
    expect(printed(outputsOf(result, 8))).toBe("mm 3 4 5\n");
  });

  it("leaves the given notebook as it was", () => {
    expect(source.cells.every((cell) => cell.cell_type !== "code" || cell.outputs.length === 0)).toBe(true);
    expect(source.metadata).toEqual({});
  });

  it("keeps both streams and the value of the last expression", () => {
    expect(printed(outputsOf(result, 1))).toBe("one 1\n2\n");
    expect(printed(outputsOf(result, 1), "stderr")).toBe("note\n");
  });

  it("keeps what is displayed", () => {
    const data = outputsOf(result, 3).map((output) => (output as DisplayOutput).data);
    expect(data).toEqual([
      { "text/html": ["<b>h</b>"] },
      { "text/markdown": ["*m*"] },
      { "image/png": "AQID" },
    ]);
  });

  it("keeps the forms of one output together", () => {
    const bundle = { "image/svg+xml": ["<svg/>"], "text/plain": ["t"] };
    expect(outputsOf(result, 4)).toEqual([{ output_type: "display_data", data: bundle, metadata: {} }]);
  });

  it("runs in the folder and environment it is given, and hides the folder's path", () => {
    expect(printed(outputsOf(result, 5))).toBe(". given\n");
  });

  it("loses nothing of a long print-out", () => {
    const lines = Array.from({ length: 5000 }, (_, i) => `line ${i}\n`);
    expect(printed(outputsOf(result, 6))).toBe(lines.join(""));
  });

  it("counts cells that are not blank, and tells of each", () => {
    const counts = result.notebook.cells.map((cell) =>
      cell.cell_type === "code" ? cell.execution_count : "-",
    );
    expect(counts).toEqual(["-", 1, null, 2, 3, 4, 5, 6, 7]);
    expect(steps.map(({ cell, of, ok }) => [cell, of, ok])).toEqual(
      [1, 2, 3, 4, 5, 6, 7].map((i) => [i, 7, true]),
    );
    expect(result.stats.cells).toEqual(steps);
  });

  const python = "/usr/bin/python3";
  const hasNbformat = spawnSync(python, ["-c", "import nbformat"]).status === 0;
  it.skipIf(!hasNbformat)("passes Python's nbformat validator (skipped without it)", () => {
    const validate = "import json, sys, nbformat; nbformat.validate(json.load(sys.stdin))";
    const verdict = (value: unknown) => spawnSync(python, ["-c", validate], { input: JSON.stringify(value) });
    expect(verdict(result.notebook).stderr.toString()).toBe("");
    expect(verdict({ ...result.notebook, cells: [{ cell_type: "code" }] }).status).not.toBe(0);
  });
});

it("a notebook goes on while files around it change, as when packages are installed beside it", async () => {
  const changing = mkdtempSync(join(cwd, "changing-"));
  const result = await runNotebook(
    notebook(
      code(
        'import { mkdirSync, writeFileSync } from "node:fs";\n' +
          'mkdirSync("node_modules/other", { recursive: true });\n' +
          "const install = (version: number) => {\n" +
          '  writeFileSync("node_modules/other/index.d.ts", "export declare const other: number; // " + version);\n' +
          '  writeFileSync("node_modules/other/index.js", "exports.other = " + version);\n' +
          '  writeFileSync("node_modules/other/package.json", JSON.stringify({ name: "other", version: "1.0." + version, types: "index.d.ts", main: "index.js" }));\n' +
          "};\ninstall(1);",
      ),
      code('import { other } from "other";\nother'),
      code(
        "for (const version of [2, 3]) {\n  install(version);\n  await new Promise((done) => setTimeout(done, 500));\n}",
      ),
      code("other + 1"),
    ),
    { cwd: changing, file: "a.ipynb" },
  );
  expect(result.error).toBeNull();
  expect(printed(outputsOf(result, 3))).toBe("2\n");
});

describe.concurrent("a cell that fails", () => {
  it("by its types is named with its line, and is not run", async () => {
    const result = await run(
      'console.log("first")',
      "interface A { x: number }\n\nconst a: A = { x: 1 };\nlet y: string = a.x;",
    );
    expect(result.error).toMatchObject({ kind: "type", cell: 2, index: 1, line: 4 });
    expect(result.error?.message).toBe(
      "a.ipynb stopped at cell 2, line 4: the code does not pass the type check: Type 'number' is not assignable to type 'string'.",
    );
    expect(printed(outputsOf(result, 0))).toBe("first\n");
  });

  it("by an exception is named with the line in its own text, and ends the run", async () => {
    const result = await run(
      'function check(n: number): void {\n  if (n > 0) throw new RangeError("too big");\n}',
      'interface Unused {\n  a: string;\n  b: string;\n}\nimport { sep } from "node:path";\n\nconsole.log(sep);\n// now\nconsole.error("note");\ncheck(\n  1,\n);',
      'console.log("not reached")',
    );
    expect(result.error).toMatchObject({ kind: "thrown", cell: 2, line: 10 });
    expect(result.error?.message).toBe("a.ipynb stopped at cell 2, line 10: RangeError: too big.");
    expect(result.error?.detail).toContain("at Proxy.check");
    const outputs = outputsOf(result, 1);
    expect(printed(outputs, "stderr")).toBe("note\n");
    expect(outputs.at(-1)).toMatchObject({ output_type: "error", ename: "RangeError", evalue: "too big" });
    expect(outputsOf(result, 2)).toEqual([]);
    expect(result.stats.cells.map(({ ok }) => ok)).toEqual([true, false]);
  });

  it("by a rejection nobody awaits is named, although tslab answers that all is well", async () => {
    const { error } = await run(
      'type T = number;\nconst t: T = 1;\nPromise.reject(new Error("nobody"));\nt;',
      "1",
    );
    expect(error).toMatchObject({ kind: "rejection", cell: 1, line: 3 });
    expect(error?.reason).toBe("a promise that nobody awaits was rejected: Error: nobody");
  });

  it("in the background, after the last cell is done, is named", async () => {
    const { error } = await run('setTimeout(() => {\n  throw new Error("late");\n}, 30);', "1");
    expect(error).toMatchObject({ kind: "background", cell: 1, line: 2 });
    expect(error?.reason).toBe("an error came up in the background: Error: late");
  });

  it("by never ending is stopped, and its kernel is gone", async () => {
    const endless = notebook(code(`${leavePid("endless")}\nfor (;;);`));
    const { error } = await runNotebook(endless, { cwd, cellTimeoutMs: 1500, file: "a.ipynb" });
    expect(error?.message).toBe("a.ipynb stopped at cell 1: it did not finish within 1.5 s.");
    expect(error?.kind).toBe("timeout");
    expect(isAlive("endless")).toBe(false);
  });

  it.each([
    ["process.exit(3)", "the kernel's process was ended with exit code 3 while the cell ran"],
    ['process.kill(process.pid, "SIGKILL")', "the kernel's process was ended by SIGKILL while the cell ran"],
  ])("by ending the kernel with %s is named", async (ending, reason) => {
    const { error, notebook } = await run("1", `${ending};`);
    expect(error).toMatchObject({ kind: "kernel", cell: 2, line: null, reason });
    expect(notebook.cells).toHaveLength(2);
  });
});

describe("a run that is ended from outside", () => {
  const waiting = (file: string) =>
    notebook(code(leavePid(file)), code("await new Promise(() => setInterval(() => {}, 1000));"));

  it("by its signal is rejected with the signal's reason, and its kernel is gone", async () => {
    const control = new AbortController();
    const onCell = () => control.abort(new Error("enough"));
    await expect(runNotebook(waiting("aborted"), { cwd, signal: control.signal, onCell })).rejects.toThrow(
      "enough",
    );
    expect(isAlive("aborted")).toBe(false);
  });

  it("by an interrupt of the process leaves no kernel and no file", async () => {
    // The runner lets the signal end the process unless someone else listens to it; here, this test does.
    const listen = () => {};
    process.on("SIGINT", listen);
    const { TMPDIR } = process.env;
    const temporary = mkdtempSync(join(cwd, "tmp-"));
    process.env.TMPDIR = temporary;
    let during: string[] = [];
    let after = ["not looked at"];
    const onCell = () => {
      if (during.length > 0) return;
      during = readdirSync(temporary);
      process.emit("SIGINT", "SIGINT");
      after = readdirSync(temporary);
    };
    try {
      const { error } = await runNotebook(waiting("interrupted"), { cwd, onCell, transport: "ipc" });
      expect(error?.kind).toBe("kernel");
    } finally {
      process.off("SIGINT", listen);
      if (TMPDIR === undefined) delete process.env.TMPDIR;
      else process.env.TMPDIR = TMPDIR;
    }
    expect(isAlive("interrupted")).toBe(false);
    expect(during).toHaveLength(1);
    expect(after).toEqual([]);
  });
});

describe("what cannot be run", () => {
  it("a notebook without code is an error, not a success", async () => {
    const empty = notebook(markdown("# Title"), code("  \n"));
    await expect(runNotebook(empty, { file: "a.ipynb" })).rejects.toThrow(
      "a.ipynb has nothing to run; a notebook needs a code cell that is not blank; it has none among its 2 cells",
    );
  });

  it("nor is anything else a notebook", async () => {
    await expect(runNotebook({ cells: [] }, { file: "a.ipynb" })).rejects.toThrow(NotebookError);
  });

  it("nor does a kernel start in a folder that is not there", async () => {
    const nowhere = join(cwd, "nowhere");
    const running = runNotebook(notebook(code("1")), { file: "a.ipynb", cwd: nowhere });
    await expect(running).rejects.toThrow(`a.ipynb was not run: its kernel did not start in ${nowhere}`);
  });
});
