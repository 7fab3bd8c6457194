import { resolve } from "node:path";
import { parseArgs } from "node:util";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { runStudy } from "./run-study.js";
import { studyFigures, studyText } from "./study-figures.js";

/** `npm run study:causes -- --count 500 --several-odds 0 --json`: validates explanations on simulated cells with no cause, one cause or several. */
const { values } = parseArgs({
  options: {
    count: { type: "string", default: "500" },
    seed: { type: "string", default: "1" },
    job: { type: "string", default: resolve(PACKAGE_ROOT, "data/alcove-screen") },
    instrument: { type: "string", default: "shim-strips" },
    "several-odds": { type: "string" },
    bank: { type: "string", default: "60000" },
    json: { type: "boolean", default: false },
  },
});
const started = performance.now();
const study = runStudy(loadJob(values.job), {
  count: Number(values.count),
  seed: Number(values.seed),
  instrument: values.instrument,
  bank: Number(values.bank),
  ...(values["several-odds"] === undefined ? {} : { severalOdds: Number(values["several-odds"]) }),
  onProgress: (cells) => {
    if (cells % 50 === 0) process.stderr.write(`… ${cells} cells\n`);
  },
});
const figures = { ...studyFigures(study), seconds: (performance.now() - started) / 1000 };
process.stdout.write(`${values.json ? JSON.stringify(figures, null, 1) : studyText(figures)}\n`);
