import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import type { LengthUnit } from "../../../src/core/quantity/index.js";
import { newJob } from "../../../src/features/new/new-job.js";
import { shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { NotebookError } from "../../../src/render/notebook/notebook.js";
import { runAndRender } from "../../../src/render/notebook/run-and-render.js";
import { faultsOf, type Pair, type Result, resultText, tableText } from "./matrix.js";

/**
 * `npm run notebooks:matrix`: every notebook on a starter job of every pattern in mm and in inches. A line for each run
 * as it ends, then the whole as a table; exit code 1 when one neither runs nor is refused by name.
 *
 * `-- --only '^0[0-3] .* in$'` keeps the pairs whose line `NOTEBOOK PATTERN UNIT` matches; `--at-once 2` runs two at a
 * time; `--list` names the pairs and runs none. One run takes half a minute to two minutes of one core.
 */
const { values } = parseArgs({
  options: {
    only: { type: "string", default: "" },
    "at-once": { type: "string", default: "1" },
    list: { type: "boolean", default: false },
  },
});

const NOTEBOOKS = join(PACKAGE_ROOT, "notebooks");
const UNITS: readonly LengthUnit[] = ["mm", "in"];
const names = readdirSync(NOTEBOOKS)
  .filter((file) => file.endsWith(".ipynb"))
  .map((file) => file.replace(".ipynb", ""))
  .sort();
const patterns = shippedPatterns();

/** The pairs in such an order that the first twelfth has every notebook once, on jobs that differ. */
const wanted = new RegExp(values.only);
const jobs = patterns.flatMap((pattern) => UNITS.map((unit) => ({ pattern, unit })));
const pairs: Pair[] = jobs
  .flatMap((_, turn) =>
    names.map((notebook, i) => ({ notebook, ...jobs[(5 * i + 3 + turn) % jobs.length]! })),
  )
  .filter(({ notebook, pattern, unit }) => wanted.test(`${notebook} ${pattern} ${unit}`));

if (pairs.length === 0) throw new Error(`no pair of notebook, pattern and unit matches ${values.only}`);

const root = mkdtempSync(join(tmpdir(), "matrix-"));

async function run(pair: Pair): Promise<Result> {
  const { notebook, pattern, unit } = pair;
  const job = join(root, `${pattern}-${unit}-${notebook}`);
  const outDir = join(root, "out", `${pattern}-${unit}`);
  const began = performance.now();
  const seconds = (): number => (performance.now() - began) / 1000;
  newJob(job, unit, pattern);
  try {
    const notebookPath = join(NOTEBOOKS, `${notebook}.ipynb`);
    const report = await runAndRender({ notebookPath, outDir, jobFolder: job, cellTimeoutMs: 1_800_000 });
    const fault = faultsOf(JSON.parse(readFileSync(report.notebook, "utf8")), unit);
    return { ...pair, seconds: seconds(), status: fault === "" ? "run" : "failed", says: fault };
  } catch (error) {
    if (!(error instanceof NotebookError)) throw error;
    const refused = error.message.includes(`${notebook} does not run on `);
    return { ...pair, seconds: seconds(), status: refused ? "refused" : "failed", says: error.message };
  }
}

const results: Result[] = [];
const left = values.list ? [] : [...pairs];
if (values.list)
  for (const { notebook, pattern, unit } of pairs) process.stdout.write(`${notebook} ${pattern} ${unit}\n`);

async function worker(): Promise<void> {
  for (let pair = left.shift(); pair !== undefined; pair = left.shift()) {
    const result = await run(pair);
    results.push(result);
    process.stdout.write(`${resultText(result)}\n`);
  }
}

try {
  await Promise.all(Array.from({ length: Math.max(1, Number(values["at-once"])) }, worker));
} finally {
  rmSync(root, { recursive: true, force: true });
}
if (!values.list) {
  process.stdout.write(`\n${tableText(results, names)}\n`);
  process.exitCode = results.some(({ status }) => status === "failed") ? 1 : 0;
}
