import { mkdtempSync, realpathSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { DEGREE } from "../../src/core/geometry.js";
import type { LengthUnit } from "../../src/core/quantity/index.js";
import { newJob } from "../../src/features/new/new-job.js";
import { practiceReadings } from "../../src/features/notebook/lesson.js";
import { jobSources } from "../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { shippedPatterns } from "../../src/io/patterns/find-pattern.js";
import { jobCell } from "../../src/model/job/job-cell.js";
import { sensitivityTable } from "../../src/physics/sensitivity/sensitivity.js";
import { millimetres } from "../cli/support/millimetres.js";
import { textsOf } from "./outputs.js";
import { NOTEBOOKS, type Ran, runPairs } from "./run-all.js";

const root = mkdtempSync(join(realpathSync(tmpdir()), "any-job-"));
afterAll(() => rmSync(root, { recursive: true, force: true }));

const UNITS: readonly LengthUnit[] = ["mm", "in"];
const JOBS = shippedPatterns().flatMap((pattern) => UNITS.map((units) => ({ pattern, units })));

/** A starter job of a pattern, without readings. */
function folderOf({ pattern, units }: (typeof JOBS)[number]): string {
  const folder = join(root, `${pattern}-${units}`);
  newJob(folder, units, pattern);
  return folder;
}

describe.each(JOBS)("a job of $pattern in $units", (one) => {
  const job = loadJob(folderOf(one));

  it("has readings to practise on, from errors that are known", () => {
    const { readings, truth } = practiceReadings(job);
    expect(readings.length).toBeGreaterThan(5);
    expect(truth).toHaveLength(jobSources(job).length);
    expect(practiceReadings(job, 2).truth).not.toEqual(truth);
  });

  it("has gaps per degree and per mm by rule that agree with the model's", () => {
    for (const { source, bySymbols, byModel } of sensitivityTable(jobCell(job))) {
      const size = source.unit === "rad" ? DEGREE : 1;
      for (const [i, gap] of bySymbols.entries())
        expect(Math.abs(gap - byModel[i]!) * size).toBeLessThan(1e-10);
    }
  }, 300_000);
});

/** Every notebook once, on jobs that between them have every pattern, and both units. */
describe("a notebook on another pattern, in inches", () => {
  const pairs = NOTEBOOKS.map((name, i) => ({ name, job: JOBS[(5 * i + 4) % JOBS.length]! }));
  let ran: Map<string, Ran>;
  beforeAll(async () => {
    ran = await runPairs(
      pairs.map(({ name, job }) => ({ name, job: join(root, `${job.pattern}-${job.units}`) })),
    );
  }, 900_000);

  it("is tried on every pattern and in both units", () => {
    expect(new Set(pairs.map(({ job }) => job.pattern))).toEqual(new Set(shippedPatterns()));
    expect(new Set(pairs.map(({ job }) => job.units))).toEqual(new Set(UNITS));
  });

  it.each(pairs)("$name runs on $job.pattern in $job.units", ({ name, job }) => {
    const texts = textsOf(ran.get(name)!.notebook);
    expect(texts.join("\n")).toMatch(/^holds: /m);
    for (const text of texts) expect(text).not.toMatch(/\b(?:NaN|undefined)\b|\[object /);
    if (job.units === "in") expect(texts.flatMap(millimetres)).toEqual([]);
  });
});
