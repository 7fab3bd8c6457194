import { parseArgs } from "node:util";
import { runSoak } from "./run-soak.js";

/**
 * npm run soak -- [--runs N] [--minutes M] [--seed S]: a small notebook run many times, or for so long, and what is left of it counted. Ends with 1 when anything is left, or a run did not end as it was to.
 */

const { values } = parseArgs({
  options: {
    runs: { type: "string", default: "30" },
    minutes: { type: "string", default: "100000" },
    seed: { type: "string", default: "1" },
  },
});
const whole = (name: string, text: string, least: number, most: number): number => {
  const value = Number(text);
  if (Number.isInteger(value) && value >= least && value <= most) return value;
  throw new RangeError(`--${name} must be a whole number from ${least} to ${most}; it is ${text}.`);
};

const runs = whole("runs", values.runs, 1, 1_000_000);
const until = performance.now() + 60_000 * whole("minutes", values.minutes, 1, 100_000);
let told = performance.now();
const report = await runSoak({
  runs,
  seed: whole("seed", values.seed, 0, 2000),
  onRun(done) {
    const now = performance.now();
    if (now - told >= 2000) {
      told = now;
      process.stderr.write(`… ${done} of ${runs}\n`);
    }
    return now < until;
  },
});
const { processes, files, sockets } = report.left;
process.stdout.write(`${JSON.stringify(report, null, 1)}\n`);
process.exitCode = processes + files + sockets + report.unexpected.length === 0 ? 0 : 1;
