import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { recordYaml } from "../../../src/features/record/record-yaml.js";
import { jobPosterior } from "../../../src/inference/job-posterior.js";
import { loadRecord } from "../../../src/io/records/load-record.js";
import { angleReading, DEGREE, LABEL } from "../../inference/angle-readings.js";
import { demoJob, demoReadings } from "../../inference/demo.js";
import { inFolder } from "../../io/in-folder.js";

describe("a record of an inch shop", () => {
  const linear = demoReadings.filter(({ what }) => what !== "gap");
  const posterior = jobPosterior({ ...demoJob, units: "in", mistakes: 0 }, linear);
  const text = recordYaml(posterior, "2026-01-01")!;
  const written = text.replace(/^#.*$/gm, "");

  it("has its lengths in inches and thou throughout, and is read back as it was", () => {
    expect(written).toMatch(/stop key-end: -?[\d.]+ thou/);
    expect(written).not.toMatch(/\bmm\b/);
    const { stops, together } = loadRecord(join(inFolder({ "r.yaml": text }), "r.yaml"));
    const place = together!.sources.findIndex(({ of }) => of === "key-end");
    const column = posterior.sources.findIndex(({ id }) => id.of === "key-end");
    expect(stops.get("key-end")!.error).toBeCloseTo(posterior.estimates[column]!, 6);
    expect(together!.cases[0]!.mean[place]).toBeCloseTo(posterior.estimates[column]!, 6);
  });

  it("is not written where nothing was learned, and has no ties where one thing was", () => {
    expect(recordYaml(jobPosterior(demoJob, []), "2026-01-01")).toBeNull();
    const one = jobPosterior({ ...demoJob, mistakes: 0 }, [
      angleReading("a", LABEL + 0.5 * DEGREE),
      angleReading("b", LABEL + 0.5 * DEGREE),
    ]);
    expect(recordYaml(one, "2026-01-01")).not.toContain("together:");
  });
});
