import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { seasonYear } from "../../src/season/season-year.js";
import { demoJob } from "../calibrate/demo.js";

/** What docs/season.md says of the demonstration job. */
const PAGE = readFileSync(resolve(import.meta.dirname, "../../docs/season.md"), "utf8");

describe("the page on the year", () => {
  it("has the figures of the command", () => {
    const { shopMoisture, worst } = seasonYear(demoJob);
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
});
