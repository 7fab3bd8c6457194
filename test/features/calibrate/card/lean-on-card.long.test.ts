import { describe, expect, it } from "vitest";
import { cardSheet } from "../../../../src/features/calibrate/card/card-sheet.js";
import { setUpCard } from "../../../../src/features/calibrate/card/set-up-card.js";
import { calibrateJob } from "../../../../src/inference/calibrate-job.js";
import { simulateTrials } from "../../../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../../../src/inference/likelihood/specimen.js";
import { PANEL_SIDES } from "../../../../src/model/cell/cell.js";
import type { Job } from "../../../../src/model/job/job.js";
import type { Reading } from "../../../../src/model/readings.js";
import { demoJob, demoTruth } from "../../../inference/demo.js";

const DEGREE = Math.PI / 180;

const job: Job = {
  ...demoJob,
  depth: 12,
  jigs: demoJob.jigs.map((jig) =>
    jig.name === "bevel-22" ? { ...jig, lean: { priorMean: 0, priorSd: 0.3 * DEGREE, rolled: false } } : jig,
  ),
};
const sides = [1, 2, 3].flatMap((trial) =>
  PANEL_SIDES.map(
    (side): Reading => ({
      id: `s${trial}-${side}`,
      line: 0,
      trial: `s${trial}`,
      setUp: "hinge-mitre",
      round: null,
      bench: "straightedge",
      what: "gap",
      subject: "bevel.end-left|straightedge",
      at: "toe",
      side,
      value: null,
      low: 0,
      high: 1,
      instrument: "shim-strips",
      note: "",
    }),
  ),
);

describe("a lean on the set-up card", () => {
  const card = (lean: number) => {
    const truth = Float64Array.from(jobSources(job), ({ id: { kind } }, i) =>
      kind === "lean" ? lean : demoTruth.sources[i]!,
    );
    const readings = simulateTrials(job, sides, { truth, seed: 21 });
    const calibration = calibrateJob(job, readings, { draws: 200 });
    const sheet = cardSheet(job, calibration, "2026-01-01");
    return { ...setUpCard(calibration, "2026-01-01"), printed: sheet.notes.join(" ") };
  };

  it.each([
    [-0.5, "back"],
    [0.5, "front"],
  ])("of %f° has its row and says what to do about it", (degrees, side) => {
    const { rows, notes, cautions, printed } = card(degrees * DEGREE);
    const row = rows.find(({ name }) => name === "lean of bevel-22")!;
    expect(row).toMatchObject({ means: `cuts stand out at the ${side}`, verdict: "no adjuster" });
    expect(notes.join(" ")).toContain(
      "The ramp of bevel-22 is out of square to the bed, and on strips 12.00 mm deep no shim or stop takes that out",
    );
    expect(printed).toContain(`cuts stand out at the ${side}.`);
    expect(printed).toContain("no shim or stop takes that out: square the ramp to its bed");
    expect(cautions.length).toBeGreaterThan(0);
  });

  it("of nothing is not spoken of", () => {
    const { rows, notes } = card(0);
    expect(rows.find(({ name }) => name === "lean of bevel-22")!.means).not.toContain("stand out");
    expect(notes.join(" ")).not.toContain("out of square");
  });
});
