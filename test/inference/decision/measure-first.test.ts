import { describe, expect, it } from "vitest";
import { decideMoves } from "../../../src/inference/decision/decide-moves.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { cellSpecimen } from "../../../src/inference/likelihood/specimen.js";
import type { Job } from "../../../src/model/job/job.js";
import { demoJob, demoReadings } from "../demo.js";

const advise = (job: Job, readings: typeof demoReadings) =>
  decideMoves(job, fitSources(job, readings), cellSpecimen(job), { seed: 3 }).advice;

describe("measure first", () => {
  /** Nothing read that depends on a stop, and a caliper at hand. */
  const withoutLengths = demoReadings.filter(({ what, bench }) => what !== "length" && bench !== "cell");

  it("is advised where a stop was never measured and a trial would tell", () => {
    const named = advise(demoJob, withoutLengths).filter(({ verdict }) => verdict === "measure first");
    expect(named.map(({ adjuster }) => adjuster.name)).toContain("diagonal-end");
    for (const { setting, valueOfInformation } of named) {
      expect(setting.change).toBe(0);
      expect(valueOfInformation).toBeGreaterThan(demoJob.costs.trial);
    }
  });

  it("is advised where the trials that were cut told next to nothing, and another kind would", () => {
    const closed = demoReadings
      .filter(({ what, bench }) => bench === "cell" || (what !== "length" && what !== "thickness"))
      .map((reading) =>
        reading.bench === "cell" ? { ...reading, low: Number.NEGATIVE_INFINITY, high: 0.5 } : reading,
      );
    const named = advise(demoJob, closed).filter(({ verdict }) => verdict === "measure first");
    expect(named.map(({ adjuster }) => adjuster.name)).toContain("diagonal-end");
  });

  it("is not advised once the readings have told", () => {
    expect(advise(demoJob, demoReadings).map(({ verdict }) => verdict)).not.toContain("measure first");
  });

  it("is not advised where a trial costs more than it could save", () => {
    const dear = { ...demoJob, costs: { ...demoJob.costs, trial: 1000 } };
    expect(advise(dear, withoutLengths).map(({ verdict }) => verdict)).not.toContain("measure first");
  });

  it("is not advised where no instrument would tell", () => {
    const blind = { ...demoJob, instruments: demoJob.instruments.filter(({ name }) => name !== "caliper") };
    const gaps = withoutLengths.filter(({ instrument }) => instrument !== "caliper");
    const stops = advise(blind, gaps).filter(({ adjuster }) => adjuster.kind === "stop");
    expect(stops.map(({ verdict }) => verdict)).not.toContain("measure first");
  });
});
