import { describe, expect, it } from "vitest";
import { demoJob, demoPlan } from "../../inference/demo.js";
import { studyShops, studyStories } from "./run-study.js";
import { studyFigures } from "./study-figures.js";

const options = { seed: 3, instrument: "shim-strips" };
const shops = studyShops(demoJob, demoPlan, 16, options);
const told = studyStories(demoJob, 6, options);
const figures = studyFigures(shops, told);

describe("a small study of explanations (16 shops with several errors and mixed readings)", () => {
  it("never contradicts the calibration, and the signs that it gives are the true ones", () => {
    expect(figures.identified).toBeGreaterThan(30);
    expect(figures.contradictions).toBe(0);
    // 2.5 % of 95 % intervals lie beyond the truth on the wrong side at most: of 40 to 120, 6 or fewer in 99 studies of 100.
    expect(figures.wrongSigns).toBeLessThanOrEqual(6);
  });

  it("shares out every gap to rounding", () => {
    expect(figures.joints).toBeGreaterThan(50);
    expect(figures.largestRemainder).toBeLessThan(1e-12);
  });

  it("says “off by more than matters” as often as it is so, within 99 % bounds of each bin", () => {
    for (const bin of figures.matters)
      expect(bin, `${bin.from} to ${bin.to}`).toMatchObject({ within: true });
  });

  it("would notice chances that are too sure", () => {
    const sure = shops.map((shop) => ({
      ...shop,
      sources: shop.sources.map((source) => ({ ...source, chance: source.beyond ? 0.2 : 0.8 })),
    }));
    expect(studyFigures(sure, told).matters.some(({ within }) => !within)).toBe(true);
  });

  it("tells stories whose chances add up to 1", () => {
    for (const { stories } of told)
      expect(stories.reduce((sum, { probability }) => sum + probability, 0)).toBeCloseTo(1, 9);
  });
});
