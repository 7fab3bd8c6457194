import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { minus } from "../../../src/core/numeric/dense.js";
import { folderPosterior } from "../../../src/features/evidence/index.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import { evidenceText } from "../../../src/render/evidence-text.js";
import { DEMO } from "../../inference/demo.js";
import { inFolder } from "../../io/in-folder.js";
import { longIt } from "../../tools/longer.js";

const silent = (): void => {};

/** The demonstration job with the angles of its readings alone: their posterior is in closed form, and quick. */
function anglesOnly(): string {
  const [heading, ...rows] = readFileSync(join(DEMO, "trials.csv"), "utf8").trim().split("\n");
  const angles = rows.filter((row) => row.includes(",angle,"));
  return inFolder({
    "job.yaml": readFileSync(join(DEMO, "job.yaml"), "utf8"),
    "trials.csv": [heading, ...angles, ""].join("\n"),
  });
}

describe("what a folder knows", () => {
  const folder = anglesOnly();
  const job = loadJob(folder);

  it("are its readings, unless they are to be left out", () => {
    expect(evidenceText(folderPosterior(folder, job, {}, silent))).toMatch(
      /^Based on \d+ readings of \d+ trial pieces; jigs and stops as they stand\.$/,
    );
    const without = folderPosterior(folder, job, { withoutReadings: true }, silent);
    expect(evidenceText(without)).toBe(
      "Based on what the job states; no readings; jigs and stops as they stand.",
    );
    expect(folderPosterior(inFolder({}), job, {}, silent)).toEqual(without);
  });

  longIt(
    "after the moves is what it was, moved as the card says and missed by the re-setting scatter",
    () => {
      const { decision, posterior } = calibrateJob(job, loadTrials(folder, job), { draws: 100, seed: 3 });
      const moved = folderPosterior(folder, job, { moved: true, seed: 3 }, silent);
      expect(moved.state).toBe("after the moves");
      const { change, resetSd } = decision.moves;
      expect(change.some((by) => by !== 0)).toBe(true);
      const shift = minus(moved.estimates, posterior.estimates);
      const p = change.length;
      for (const [i, by] of change.entries()) {
        expect(shift[i]).toBeCloseTo(by, 12);
        const variance = (covariance: Float64Array): number => covariance[i * (p + 1)]!;
        const added = variance(moved.covariance) - variance(posterior.covariance);
        expect(added).toBeCloseTo(resetSd[i]! ** 2, 12);
        for (let d = 0; d < posterior.draws; d++) {
          const missed = moved.sample[d * p + i]! - posterior.sample[d * p + i]! - by;
          expect(Math.abs(missed)).toBeLessThanOrEqual(5 * resetSd[i]! + 1e-12);
        }
      }
    },
  );

  it("has no card to move by without readings", () => {
    expect(() => folderPosterior(inFolder({}), job, { moved: true }, silent)).toThrow(/no card/);
  });
});
