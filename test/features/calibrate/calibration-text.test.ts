import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { nextRoundText } from "../../../src/features/calibrate/calibration-text.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { sourceText } from "../../../src/render/source-text.js";
import { DEMO, demoJob, demoReadings } from "../../inference/demo.js";

const calibration = calibrateJob(demoJob, demoReadings, { draws: 200 });
const made = calibration.decision.advice.filter(({ verdict }) => verdict === "adjust");

describe("what to write once the moves are made", () => {
  it("is read back as the moves on the card", () => {
    expect(made.length).toBeGreaterThan(1);
    const written = nextRoundText(calibration);
    const yaml = written.slice(written.indexOf("\nrounds:"));
    const folder = mkdtempSync(join(tmpdir(), "sukima-round-"));
    writeFileSync(join(folder, "job.yaml"), readFileSync(join(DEMO, "job.yaml"), "utf8") + yaml);
    const [round, ...others] = loadJob(folder).rounds;
    expect(others).toEqual([]);
    expect(round!.name).toBe("second");
    const read = new Map(round!.moves.map(({ source, by }) => [sourceText(source), by]));
    expect(read.size).toBe(made.length);
    for (const { adjuster, setting } of made)
      expect(read.get(`${adjuster.kind === "shim" ? "ramp" : "stop"} of ${adjuster.name}`)).toBeCloseTo(
        setting.change,
        4,
      );
  });

  it("is nothing where nothing is moved", () => {
    const decision = { ...calibration.decision, advice: [] };
    expect(nextRoundText({ ...calibration, decision })).toBe("");
  });
});
