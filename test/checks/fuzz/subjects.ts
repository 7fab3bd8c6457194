import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { parseAngle, parseLength } from "../../../src/core/quantity/index.js";
import { loadBatchTable } from "../../../src/features/batch/batch-table.js";
import { loadGaugeTable } from "../../../src/features/gauge/gauge-table.js";
import { readAnswer } from "../../../src/features/mystery/mark-answer.js";
import { starterJob } from "../../../src/features/new/starter-job.js";
import type { SourceEstimate } from "../../../src/inference/estimates/fit-sources.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { JobError } from "../../../src/io/faults.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { faultsInFile, patternFaults } from "../../../src/io/patterns/check-pattern.js";
import { shippedPattern, shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { readPattern } from "../../../src/io/patterns/read-pattern.js";
import { loadRecord } from "../../../src/io/records/load-record.js";
import { loadTruth } from "../../../src/io/records/load-truth.js";
import { loadTrialPlan, loadTrials } from "../../../src/io/trials/load-trials.js";
import type { Job } from "../../../src/model/job/job.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import { readNotebook } from "../../../src/render/notebook/notebook.js";
import { renderNotebook } from "../../../src/render/page/render-notebook.js";

/** Something that is read from a person: good texts of it, and its reader. */
export interface Subject {
  readonly name: string;
  /** Texts that are accepted; edits start from them. */
  readonly good: readonly string[];
  /** Name of the file it is read from; none for what is no file. */
  readonly file: string | null;
  /** A small slip in a good text, drawn by a number; without it the text is edited in every way. */
  readonly slip?: (text: string, pick: number) => string;
  /** Whether any sentence for people is a good refusal, though it names no file; default false. */
  readonly anyRefusal?: boolean;
  /** Processor time that any case may take, ms; default that of a reader. */
  readonly fixedMs?: number;
  /** @param path of the file; for what is no file, the text */
  readonly read: (path: string) => unknown;
}

const DATA = resolve(PACKAGE_ROOT, "data");
const NOTEBOOKS = resolve(PACKAGE_ROOT, "notebooks");
const MOST_ROWS = 60;

const data = (...path: string[]): string => readFileSync(join(DATA, ...path), "utf8");
const start = (table: string): string => table.split("\n").slice(0, MOST_ROWS).join("\n");

const QUANTITIES = [
  "2 3/8 in",
  '7/64"',
  "5 thou",
  "60 mm",
  "0.4",
  "-0.05 mm",
  "1' 2 1/2\"",
  "22.5°",
  "22°30'",
  "0.4 rad",
  "45 deg",
  "12' 30\"",
  "1.5e-2 mm",
  "½ in",
];
const RECORD = `from: Alcove screen
date: "2026-03-21"
ramps:
  point-45: { ramp: 45 deg, error: 0.31 deg, uncertainty: 0.03 deg }
leans:
  bevel-22: { error: 0.36 deg, uncertainty: 0.03 deg }
stops:
  key-end: { jig: point-45, cuts: [key.end], opening: 60 mm, strip: 4 mm, error: 0.1 mm, uncertainty: 0.02 mm }
`;
const ANSWER =
  "answer:\n  - { cause: stop of key-end, size: -0.1 mm }\n  - { cause: ramp of point-45, size: 0.4 deg }\n";

/**
 * Everything that is read from a person.
 *
 * @param folder an empty one, to put what the readers need beside the files
 */
export function subjects(folder: string): readonly Subject[] {
  mkdirSync(folder, { recursive: true });
  writeFileSync(join(folder, "jigs.yaml"), RECORD);
  writeFileSync(
    join(folder, "own.yaml"),
    data("patterns", "diamond.yaml").replace("pattern: diamond", "pattern: own-diamond"),
  );
  const demo = loadJob(join(DATA, "alcove-screen"));
  const leaning = loadJob(join(DATA, "leaning-ramp"));
  const starters = shippedPatterns().map(
    (name) => starterJob("Screen", "in", shippedPattern(name))["job.yaml"],
  );
  const answers = jobSources(demo) as unknown as SourceEstimate[];
  return [
    {
      name: "job",
      file: "job.yaml",
      good: [
        data("alcove-screen", "job.yaml"),
        data("leaning-ramp", "job.yaml"),
        ...starters,
        `${data("alcove-screen", "job.yaml")}\nrecords: [jigs.yaml]\n`,
      ],
      read: (path) => soundJob(loadJob(path)),
    },
    {
      name: "trials",
      file: "trials.csv",
      good: [
        start(data("alcove-screen", "trials.csv")),
        start(data("alcove-screen", "trials.csv")).replaceAll(",", ";"),
      ],
      read: (path) => loadTrials(path, demo),
    },
    {
      name: "plan",
      file: "plan.csv",
      good: [start(data("leaning-ramp", "plan.csv"))],
      read: (path) => loadTrialPlan(path, leaning),
    },
    {
      name: "pattern",
      file: "pattern.yaml",
      good: readdirSync(join(DATA, "patterns")).map((name) => data("patterns", name)),
      read: readSoundPattern,
    },
    {
      name: "notebook",
      file: "book.ipynb",
      good: [notebook(), readFileSync(join(NOTEBOOKS, "02-plan-trial-cuts.ipynb"), "utf8")],
      read: pageOf,
    },
    {
      name: "gauge",
      file: "gauge.csv",
      good: [start(data("alcove-screen", "gauge.csv"))],
      read: loadGaugeTable,
    },
    {
      name: "batch",
      file: "batch.csv",
      good: [start(data("alcove-screen", "batch.csv"))],
      read: loadBatchTable,
    },
    { name: "record", file: "record.yaml", good: [RECORD], read: loadRecord },
    {
      name: "truth",
      file: "truth.yaml",
      good: [data("alcove-screen", "truth.yaml")],
      read: (path) => loadTruth(path, demo),
    },
    { name: "answer", file: "answer.yaml", good: [ANSWER], read: (path) => readAnswer(path, answers) },
    {
      name: "length",
      file: null,
      good: QUANTITIES,
      read: (text) => finite(parseLength(text, { unit: "mm", what: "opening" })),
    },
    {
      name: "angle",
      file: null,
      good: QUANTITIES,
      read: (text) => finite(parseAngle(text, { what: "ramp" })),
    },
  ];
}

/** A job that was accepted has a cell, and no number in it that is none. */
function soundJob(job: Job): void {
  jobCell(job);
  finite(job.opening);
  finite(job.strip);
}

function readSoundPattern(path: string): void {
  const pattern = readPattern(path);
  const faults = patternFaults(pattern);
  if (faults.length > 0) throw new JobError(faultsInFile(pattern, faults));
}

async function pageOf(path: string): Promise<void> {
  await renderNotebook(await readNotebook(path), { file: "book.ipynb" });
}

/** @throws Error for a number that is none: nobody's fault but ours */
function finite(value: number): number {
  if (Number.isFinite(value)) return value;
  throw new Error(`accepted, but it is ${value}`);
}

/** A notebook with an output of each kind. */
function notebook(): string {
  const output = (text: object) => ({ output_type: "display_data", metadata: {}, data: text });
  const outputs = [
    { output_type: "stream", name: "stdout", text: ["a\n", "b"] },
    output({ "text/html": "<table><tr><td>1</td></tr></table>", "text/plain": "1" }),
    output({ "image/svg+xml": "<svg xmlns='http://www.w3.org/2000/svg'/>", "text/plain": "a drawing" }),
    output({ "image/png": "iVBORw0KGgo=", "text/plain": "a picture" }),
    output({ "text/markdown": "*so* $x^2$", "text/plain": "so" }),
    { output_type: "error", ename: "Error", evalue: "x", traceback: ["Error: x", "at 1"] },
  ];
  const cells = [
    {
      cell_type: "markdown",
      id: "a",
      metadata: {},
      source: ["# Title\n", "Text with $x = \\frac{1}{2}$ and a | b.\n\n| a | b |\n|---|--:|\n| 1 | 2 |"],
    },
    {
      cell_type: "code",
      id: "b",
      metadata: { tags: ["answer"] },
      execution_count: 1,
      source: "1 + 1",
      outputs,
    },
    { cell_type: "raw", id: "c", metadata: {}, source: "" },
  ];
  return JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells }, null, 1);
}
