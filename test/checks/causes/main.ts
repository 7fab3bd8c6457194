import { readFileSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { parseArgs } from "node:util";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrialPlan } from "../../../src/io/trials/load-trials.js";
import { studyShops, studyStories } from "./run-study.js";
import { studyFigures, studyText } from "./study-figures.js";

/** `npm run study:causes -- --count 1000 --stories 300 --json`: explanations of simulated shops with several errors; with `--docs` its figures are written into docs/explain.md. */
const { values } = parseArgs({
  options: {
    count: { type: "string", default: "1000" },
    stories: { type: "string", default: "300" },
    seed: { type: "string", default: "1" },
    job: { type: "string", default: resolve(PACKAGE_ROOT, "data/alcove-screen") },
    instrument: { type: "string", default: "shim-strips" },
    docs: { type: "boolean", default: false },
    json: { type: "boolean", default: false },
  },
});
const PAGE = resolve(PACKAGE_ROOT, "docs/explain.md");
const [FROM, TO] = ["<!-- study:causes -->", "<!-- end of study:causes -->"];

const job = loadJob(values.job);
const options = {
  seed: Number(values.seed),
  instrument: values.instrument,
  onProgress: (done: number) => void (done % 10 === 0 && process.stderr.write(`… ${done} shops\n`)),
};
const plan = loadTrialPlan(join(values.job, "plan.csv"), job);
const shops = studyShops(job, plan, Number(values.count), options);
const figures = studyFigures(shops, studyStories(job, Number(values.stories), options));
process.stdout.write(`${values.json ? JSON.stringify(figures, null, 1) : studyText(figures)}\n`);
if (values.docs) {
  const page = readFileSync(PAGE, "utf8");
  const [before, after] = [page.slice(0, page.indexOf(FROM)), page.slice(page.indexOf(TO))];
  const command = `\`npm run study:causes -- --count ${values.count} --stories ${values.stories} --seed ${values.seed} --docs\` wrote this:`;
  writeFileSync(PAGE, `${before}${FROM}\n\n${command}\n\n${studyText(figures)}\n\n${after}`);
}
process.exitCode = figures.contradictions > 0 ? 1 : 0;
