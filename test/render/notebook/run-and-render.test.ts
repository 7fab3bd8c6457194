import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  realpathSync,
  rmSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { NotebookError, parseNotebook } from "../../../src/render/notebook/notebook.js";
import { type Report, runAndRender } from "../../../src/render/notebook/run-and-render.js";
import { longIt } from "../../tools/longer.js";
import { code, markdown, notebook } from "./build-notebook.js";

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(realpathSync(tmpdir()), "report-"));
  for (const name of ["notebooks", "job"]) mkdirSync(join(folder, name));
});
afterAll(() => rmSync(folder, { recursive: true }));

const save = (name: string, ...sources: string[]): string => {
  const path = join(folder, "notebooks", name);
  writeFileSync(path, JSON.stringify(notebook(markdown("# Gaps"), ...sources.map((source) => code(source)))));
  return path;
};
const at = (...parts: string[]) => join(folder, ...parts);

describe("a run that succeeds", () => {
  let report: Report;
  beforeAll(async () => {
    const job = 'import { writeFileSync } from "node:fs";\nconst job = process.env["SUKIMA_JOB"] ?? "";\n';
    const notebookPath = save(
      "good.ipynb",
      `${job}writeFileSync(job + "/seen", process.cwd());`,
      "console.log(job);",
    );
    report = await runAndRender({ notebookPath, outDir: at("out"), jobFolder: at("job") });
  });

  it("writes the notebook and the page, nothing else", () => {
    expect(report.notebook).toBe(at("out", "good.ipynb"));
    expect(report.page).toBe(at("out", "good.html"));
    expect(readdirSync(at("out")).sort()).toEqual(["good.html", "good.ipynb"]);
    expect(readFileSync(report.page, "utf8")).toContain("<title>Gaps</title>");
  });

  it("runs in the notebook's folder and tells it where the job is", () => {
    expect(readFileSync(at("job", "seen"), "utf8")).toBe(at("notebooks"));
  });

  it("keeps the machine's paths out of what it writes", () => {
    const text = readFileSync(report.notebook, "utf8");
    expect(text).toContain("$SUKIMA_JOB\\n");
    for (const written of [text, readFileSync(report.page, "utf8")]) expect(written).not.toContain(folder);
    expect(() => parseNotebook(JSON.parse(text), "good.ipynb")).not.toThrow();
  });

  it("says how long things took", () => {
    const { startMs, cells, totalMs, renderMs } = report.timings;
    expect(cells).toHaveLength(2);
    expect(totalMs).toBeGreaterThan(startMs + cells.reduce((sum, { ms }) => sum + ms, 0));
    expect(renderMs).toBeGreaterThan(0);
  });
});

describe("a run that fails", () => {
  const old = { "bad.ipynb": "old notebook", "bad.html": "old page" };
  beforeEach(() => {
    mkdirSync(at("previous"), { recursive: true });
    for (const [name, content] of Object.entries(old)) writeFileSync(at("previous", name), content);
  });
  const run = (notebookPath: string, more: { outDir?: string; jobFolder?: string } = {}) =>
    runAndRender({ notebookPath, outDir: at("previous"), jobFolder: at("job"), ...more });

  longIt.each([
    ["in a cell", ['throw new Error("wrong");'], "bad.ipynb stopped at cell 1, line 1: Error: wrong."],
    ["for want of code", [], "bad.ipynb has nothing to run"],
  ])("%s leaves the previous report whole", async (_where, sources, message) => {
    const error = await run(save("bad.ipynb", ...sources)).catch((caught: unknown) => caught);
    expect(error).toBeInstanceOf(NotebookError);
    expect((error as NotebookError).message).toContain(message);
    expect(readdirSync(at("previous")).sort()).toEqual(Object.keys(old).sort());
    for (const [name, content] of Object.entries(old))
      expect(readFileSync(at("previous", name), "utf8")).toBe(content);
  });

  it("does not replace the notebook by its own report", async () => {
    const notebookPath = save("bad.ipynb", "1");
    await expect(run(notebookPath, { outDir: at("notebooks") })).rejects.toThrow(
      "would replace the notebook",
    );
  });

  it("needs a job's folder", async () => {
    const notebookPath = save("bad.ipynb", "1");
    const missing = at("no-such-job");
    await expect(run(notebookPath, { jobFolder: missing })).rejects.toThrow(missing);
    await expect(run(notebookPath, { jobFolder: notebookPath })).rejects.toThrow("a job is a folder");
  });
});
