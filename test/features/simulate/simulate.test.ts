import { cpSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { simulateCommand } from "../../../src/features/simulate/simulate.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import { inFolder } from "../../io/in-folder.js";

const DEMO = "data/alcove-screen";
const DEGREE = Math.PI / 180;

/** What the demonstration shop would read if its job had a change made to it. */
function simulated(change: (job: string) => string) {
  const folder = inFolder({});
  cpSync(DEMO, folder, { recursive: true });
  const text = readFileSync(join(DEMO, "job.yaml"), "utf8");
  writeFileSync(join(folder, "job.yaml"), change(text));
  writeFileSync(join(folder, "trials.csv"), simulateCommand(folder, {}));
  return loadTrials(folder, loadJob(folder));
}

/** Every source that a job may have beside those of the demonstration. */
const OPTIONAL: Readonly<Record<string, (job: string) => string>> = {
  "an angle gauge's bias": (job) => job.replace("0.06 deg }", "0.06 deg, bias-trusted-to: 0.02 deg }"),
  "a caliper's bias": (job) =>
    job.replace("resolution: 0.01, repeatability: 0.01 }", "resolution: 0.01, bias-trusted-to: 0.01 }"),
  "the bias of a feeler gauge": (job) =>
    job.replace("repeatability: 0.006,", "repeatability: 0.006, bias-trusted-to: 0.002,"),
  "a reference that may be off": (job) => `${job}benches: { corner-90: { trusted-to: 0.02 deg } }\n`,
  "a known move": (job) => `${job}rounds: { second: { stops: { key-end: { by: 0.1 } } } }\n`,
  "a lean": (job) =>
    job
      .replace("strip: 4 ", "strip: 4\ndepth: 12 ")
      .replace("point-67: { ramp: 67.5 deg,", "point-67: { ramp: 67.5 deg, lean-trusted-to: 0.1 deg,"),
};

describe("the readings of a shop with known errors", () => {
  const plain = simulated((job) => job);

  it.each(Object.entries(OPTIONAL))("belong to the same jigs where the job has %s", (_, change) => {
    const readings = simulated(change);
    expect(readings.map(({ id }) => id)).toEqual(plain.map(({ id }) => id));
    for (const [i, { what, value }] of readings.entries()) {
      const before = plain[i]!.value;
      if (value === null || before === null) continue;
      // Drawn anew where there are more errors: six standard deviations.
      expect(Math.abs(value - before)).toBeLessThan(what === "angle" ? 0.6 * DEGREE : 0.12);
    }
  });
});
