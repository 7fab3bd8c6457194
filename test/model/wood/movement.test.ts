import { describe, expect, it } from "vitest";
import {
  coefficientFromShrinkage,
  dimensionalChange,
  dimensionalChangeByShrinkage,
} from "../../../src/model/wood/dimensional-change.js";
import { equilibriumMoistureContent } from "../../../src/model/wood/equilibrium-moisture.js";
import { SPECIES, speciesNamed } from "../../../src/model/wood/species.js";

describe("equilibrium moisture content", () => {
  it("the °C and °F sets agree to 0.02 % of moisture over 30–120 °F", () => {
    let worst = 0;
    for (let f = 30; f <= 120; f += 5)
      for (let h = 0; h <= 0.95; h += 0.05) {
        const difference =
          equilibriumMoistureContent(h, f, "F") - equilibriumMoistureContent(h, ((f - 32) * 5) / 9);
        worst = Math.max(worst, Math.abs(difference));
      }
    expect(worst).toBeLessThan(0.02);
    expect(worst).toBeGreaterThan(0.001); // two sets of rounded coefficients, not one
  });

  it("is 0 in dry air, rises with humidity and falls with heat", () => {
    expect(equilibriumMoistureContent(0, 20)).toBe(0);
    for (let h = 0.05; h <= 0.95; h += 0.05) {
      expect(equilibriumMoistureContent(h, 20)).toBeGreaterThan(equilibriumMoistureContent(h - 0.05, 20));
      expect(equilibriumMoistureContent(h, 40)).toBeLessThan(equilibriumMoistureContent(h, 20));
    }
  });

  it("refuses per cent for a share, and frost", () => {
    expect(() => equilibriumMoistureContent(50, 20)).toThrow(/a share, 0 to 1; got 50/);
    expect(() => equilibriumMoistureContent(0.5, -10)).toThrow(/-1.2 to 49 °C; got -10/);
    expect(() => equilibriumMoistureContent(0.5, 20, "F")).toThrow(/30 to 120 °F; got 20/);
    expect(() => equilibriumMoistureContent(Number.NaN, 20)).toThrow(RangeError);
  });
});

describe("dimensional change", () => {
  it("reverses exactly by shrinkage: there and back again", () => {
    const grown = 100 + dimensionalChangeByShrinkage(100, 7.1, 6, 14);
    expect(grown + dimensionalChangeByShrinkage(grown, 7.1, 14, 6)).toBeCloseTo(100, 12);
  });

  it("from where shrinking starts to ovendry it is the shrinkage itself", () => {
    for (const startsAt of [30, 22])
      expect(dimensionalChangeByShrinkage(100, 7.1, startsAt, 0, startsAt)).toBeCloseTo(-7.1, 12);
  });

  it("the linear rule stays within 2 % of the change by shrinkage over its range", () => {
    for (const { radial, tangential, startsAt } of SPECIES)
      for (const { coefficient, shrinkage } of [radial, tangential]) {
        const linear = dimensionalChange(1, coefficient, 8, 12);
        const exact = dimensionalChangeByShrinkage(1, shrinkage, 8, 12, startsAt);
        expect(Math.abs(linear / exact - 1)).toBeLessThan(
          shrinkage === 5.6 || shrinkage === 10.5 ? 0.08 : 0.02,
        ); // white oak: a group value
      }
  });

  it("refuses moistures outside each rule", () => {
    expect(() => dimensionalChange(10, 0.002, 8, 15)).toThrow(/6 to 14 %, else use the shrinkage; got 15 %/);
    expect(() => dimensionalChange(10, 0.002, 5, 8)).toThrow(RangeError);
    expect(() => dimensionalChangeByShrinkage(10, 7, 8, 31)).toThrow(/0 to 30 %/);
    expect(() => dimensionalChangeByShrinkage(10, 7, 8, 25, 22)).toThrow(/0 to 22 %/);
    expect(() => dimensionalChangeByShrinkage(10, 0, 8, 9)).toThrow(/above 0 and below 100/);
  });
});

describe("species", () => {
  it("tangential movement exceeds radial in every row, and each name stands once", () => {
    for (const { radial, tangential } of SPECIES) {
      expect(tangential.coefficient).toBeGreaterThan(radial.coefficient);
      expect(tangential.shrinkage).toBeGreaterThan(radial.shrinkage);
    }
    expect(new Set(SPECIES.map((species) => species.name)).size).toBe(SPECIES.length);
  });

  it("computed rows are what the shrinkage gives", () => {
    const computed = SPECIES.flatMap(({ radial, tangential, startsAt }) =>
      [radial, tangential].map((m) => ({ ...m, startsAt })),
    ).filter((m) => m.mark !== "read in the source");
    expect(computed.length).toBeGreaterThan(10);
    for (const { coefficient, shrinkage, startsAt } of computed)
      expect(Math.abs(coefficientFromShrinkage(shrinkage, startsAt) - coefficient)).toBeLessThan(0.6e-5);
  });

  it("is found by name, or refused with the names there are", () => {
    expect(speciesNamed("black CHERRY").tangential.coefficient).toBe(0.00248);
    expect(() => speciesNamed("hinoki")).toThrow(
      /not in the table; one of American basswood, .*; got hinoki/,
    );
  });
});
