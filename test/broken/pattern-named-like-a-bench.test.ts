import { describe, expect, it } from "vitest";
import { forecastSources } from "../../src/inference/forecast/forecast-sources.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { inFolder } from "../io/in-folder.js";

describe("a pattern whose name begins like a bench's", () => {
  it("is no bench: its forecast looks for no reference in it", () => {
    const job = loadJob(inFolder({ "job.yaml": "pattern: corner-cross\nopening: 60\nstrip: 3\n" }));
    expect(forecastSources(job).cell.name).toBe("corner-cross");
  });
});
