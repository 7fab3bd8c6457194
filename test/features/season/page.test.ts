import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { recordCommand } from "../../../src/features/record/record-yaml.js";
import { predictSeason } from "../../../src/features/season/season-year.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { DEMO, demoJob } from "../../inference/demo.js";
import { inFolder } from "../../io/in-folder.js";

/** What docs/season.md says of the demonstration job. */
const PAGE = readFileSync(resolve(import.meta.dirname, "../../../docs/season.md"), "utf8");

describe("the page on the year", () => {
  it("has the figures of the command", () => {
    const { shopMoisture, worst } = predictSeason(demoJob);
    expect(worst.climate.name).toBe("January");
    expect(PAGE).toContain(`cut at ${shopMoisture.toFixed(1)} % of moisture`);
    expect(PAGE).toContain(`widest in January, at ${worst.moisture.toFixed(1)} %`);
    expect(PAGE).toContain(`a strip is ${(-worst.infill.expected).toFixed(3)} mm thinner`);
    const { expected, low, high } = worst.gapAlone;
    expect(PAGE).toContain(`opens by ${expected.toFixed(3)} mm`);
    expect(PAGE).toContain(`95 % of screens: ${low.toFixed(3)} to ${high.toFixed(3)} mm`);
    // “By about as much as a strip shrinks.”
    expect(expected / -worst.infill.expected).toBeGreaterThan(0.9);
    expect(expected / -worst.infill.expected).toBeLessThan(1.15);
  });

  it("has what becomes of cells whose jigs were put right", () => {
    const folder = inFolder({
      "job.yaml": `${readFileSync(join(DEMO, "job.yaml"), "utf8")}\nrecords: jigs.yaml\n`,
    });
    recordCommand(DEMO, { out: join(folder, "jigs.yaml"), moved: true, seed: 1 }, () => {});
    const { inShop, worst, cutDriest } = predictSeason(loadJob(folder));
    const percent = (share: number): string => `${Math.round(100 * share)} %`;
    expect(PAGE).toContain(`${percent(inShop.closed.value)} of the cells leave the shop`);
    expect(PAGE).toContain(`${percent(worst.closed.value)} are so in January`);
    expect(PAGE).toContain(`${percent(cutDriest.closed.value)} would be`);
  });
});
