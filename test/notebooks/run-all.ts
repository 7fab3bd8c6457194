import { cpSync, mkdtempSync, readdirSync, readFileSync, realpathSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll } from "vitest";
import type { Notebook } from "../../src/render/notebook/notebook.js";
import { runAndRender } from "../../src/render/notebook/run-and-render.js";
import { DEMO } from "../inference/demo.js";

const FOLDER = resolve(import.meta.dirname, "../../notebooks");
const root = mkdtempSync(join(realpathSync(tmpdir()), "notebooks-"));
afterAll(() => rmSync(root, { recursive: true, force: true }));

/** Every notebook of the project, by name. */
export const NOTEBOOKS = readdirSync(FOLDER)
  .filter((file) => file.endsWith(".ipynb"))
  .map((file) => file.replace(".ipynb", ""))
  .sort();

/** A title that would do harm where it is not made inert. */
export const HOSTILE = `</title></script><script>alert(1)</script><img src=x onerror="alert(2)"> & ![x](http://example.org/x.png)`;

/** The demonstration job under a hostile title. */
export function hostileJob(): string {
  const folder = join(root, "hostile");
  cpSync(DEMO, folder, { recursive: true });
  const file = join(folder, "job.yaml");
  writeFileSync(file, readFileSync(file, "utf8").replace(/^title: .*/m, `title: ${JSON.stringify(HOSTILE)}`));
  return folder;
}

export interface Ran {
  readonly notebook: Notebook;
  readonly page: string;
}

/** Runs every notebook; what it wrote stays in the folder that SUKIMA_KEEP_NOTEBOOKS names, if it names one. */
export const runAll = (jobOf: (name: string) => string): Promise<Map<string, Ran>> =>
  runPairs(
    NOTEBOOKS.map((name) => ({ name, job: jobOf(name) })),
    process.env.SUKIMA_KEEP_NOTEBOOKS,
  );

/** Runs notebooks, each on a job's folder, two at a time: a kernel waits for its start as long as it works. */
export async function runPairs(
  pairs: readonly { readonly name: string; readonly job: string }[],
  folder?: string,
): Promise<Map<string, Ran>> {
  const ran = new Map<string, Ran>();
  const left = [...pairs];
  const worker = async (): Promise<void> => {
    for (let one = left.shift(); one !== undefined; one = left.shift()) {
      const { notebook, page } = await runAndRender({
        notebookPath: join(FOLDER, `${one.name}.ipynb`),
        outDir: folder ?? join(root, one.name),
        jobFolder: one.job,
      });
      ran.set(one.name, {
        notebook: JSON.parse(readFileSync(notebook, "utf8")),
        page: readFileSync(page, "utf8"),
      });
    }
  };
  await Promise.all([worker(), worker()]);
  return ran;
}
