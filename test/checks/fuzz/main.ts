import { parseArgs } from "node:util";
import { fuzzText } from "./edits.js";
import { BOUNDS, runFuzz } from "./run-fuzz.js";

/**
 * npm run fuzz -- [--count N] [--seed S] [--json]: good files of every kind, edited until they are bad ones, given to their readers.
 * Each must be accepted, or refused in a message that names the file and the place. Ends with 1 when one is not.
 */

const { values } = parseArgs({
  options: {
    count: { type: "string", default: "2000" },
    seed: { type: "string", default: "1" },
    json: { type: "boolean", default: false },
  },
});
const whole = (name: string, text: string, least: number, most: number): number => {
  const value = Number(text);
  if (Number.isInteger(value) && value >= least && value <= most) return value;
  throw new RangeError(`--${name} must be a whole number from ${least} to ${most}; it is ${text}.`);
};

const count = whole("count", values.count, 1, 10_000_000);
let told = performance.now();
const report = await runFuzz({
  count,
  seed: whole("seed", values.seed, 0, 2000),
  onProgress(done) {
    if (performance.now() - told < 2000) return;
    told = performance.now();
    process.stderr.write(`… ${done} of ${count}\n`);
  },
});
process.stdout.write(
  values.json ? `${JSON.stringify({ ...report, bounds: BOUNDS }, null, 1)}\n` : fuzzText(report),
);
process.exitCode = report.findings.length === 0 ? 0 : 1;
