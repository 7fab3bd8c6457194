import { parseArgs } from "node:util";
import { fuzzText } from "./edits.js";
import { BOUNDS, runFuzz } from "./run-fuzz.js";

/**
 * npm run fuzz -- [--what readers|remedies|calculators|calibrations] [--count N] [--seed S] [--json]: good files of every kind, edited until they are bad ones, given to their
 * readers; or with a slip in one number, given to what computes behind the readers.
 * Each must be accepted, or refused in a message that names the file and the place. Ends with 1 when one is not.
 */

const { values } = parseArgs({
  options: {
    count: { type: "string", default: "2000" },
    seed: { type: "string", default: "1" },
    what: { type: "string", default: "readers" },
    json: { type: "boolean", default: false },
  },
});
const whole = (name: string, text: string, least: number, most: number): number => {
  const value = Number(text);
  if (Number.isInteger(value) && value >= least && value <= most) return value;
  throw new RangeError(`--${name} must be a whole number from ${least} to ${most}; it is ${text}.`);
};

const KINDS = ["readers", "remedies", "calculators", "calibrations"] as const;
const what = KINDS.find((one) => one === values.what);
if (what === undefined) throw new RangeError(`--what must be ${KINDS.join(", ")}; it is ${values.what}.`);
const count = whole("count", values.count, 1, 10_000_000);
let told = performance.now();
const report = await runFuzz({
  count,
  what,
  seed: whole("seed", values.seed, 0, 2000),
  onProgress(done, findings) {
    if (performance.now() - told < 2000) return;
    told = performance.now();
    process.stderr.write(`… ${done} of ${count}, ${findings} ${findings === 1 ? "finding" : "findings"}\n`);
  },
});
process.stdout.write(
  values.json ? `${JSON.stringify({ ...report, bounds: BOUNDS }, null, 1)}\n` : fuzzText(report),
);
process.exitCode = report.findings.length === 0 ? 0 : 1;
