import { describe, expect, it } from "vitest";
import {
  coefficientFromShrinkage,
  dimensionalChange,
  dimensionalChangeByShrinkage,
  shrinkageFromCoefficient,
} from "../../../src/model/wood/dimensional-change.js";
import { REMEMBERED_SPECIES, SPECIES, speciesNamed } from "../../../src/model/wood/species.js";
import { ownWood, stripMovement, woodOf } from "../../../src/model/wood/wood.js";

const spruce = woodOf(speciesNamed("sitka spruce"));

describe("movement of a strip", () => {
  it("is radial or tangential at the ends of the rings' range, by eq. 13-2", () => {
    expect(stripMovement(spruce, 0, 8, 11)).toEqual({
      strain: dimensionalChange(1, 0.00148, 8, 11),
      rule: "linear",
    });
    expect(stripMovement(spruce, Math.PI / 2, 8, 11).strain).toBeCloseTo(0.00263 * 3, 12);
  });

  it("between them is how a line grows whose two parts grow each in its own measure, to second order", () => {
    const [radial, tangential] = [0.00148 * 3, 0.00263 * 3];
    for (const rings of [0.2, 0.7, 1.1]) {
      const grown = Math.hypot(Math.cos(rings) * (1 + radial), Math.sin(rings) * (1 + tangential)) - 1;
      const { strain } = stripMovement(spruce, rings, 8, 11);
      expect(Math.abs(strain - grown)).toBeLessThan(tangential ** 2);
      // A line half as quick between the two would be seen.
      expect(Math.abs((radial + tangential) / 2 - grown)).toBeGreaterThan(
        rings === 0.7 ? 0 : tangential ** 2,
      );
    }
  });

  it("outside 6–14 % goes by the shrinkage, eq. 13-3", () => {
    const { strain, rule } = stripMovement(spruce, 0, 12, 18);
    expect(rule).toBe("shrinkage");
    const shrinkage = shrinkageFromCoefficient(0.00148);
    expect(strain).toBe(dimensionalChangeByShrinkage(1, shrinkage, 12, 18));
    // Both rules meet at the border to 2 %.
    const [at, beyond] = [14, 14.001].map((to) => stripMovement(spruce, 0, 10, to).strain) as [
      number,
      number,
    ];
    expect(Math.abs(beyond / at - 1)).toBeLessThan(0.02);
  });

  it("takes a wood of one's own, and refuses what cannot be", () => {
    const own = ownWood("own", { radial: 0.001, tangential: 0.002 });
    expect(stripMovement(own, Math.PI / 4, 8, 10).strain).toBeCloseTo(0.003, 12);
    expect(() => stripMovement(own, 0, 8, 31)).toThrow(RangeError);
    expect(() => shrinkageFromCoefficient(0)).toThrow(/above 0; got 0/);
  });
});

describe("shrinkage from a coefficient", () => {
  it("is the inverse of the coefficient from a shrinkage", () => {
    for (const startsAt of [22, 30])
      for (const shrinkage of [2, 5, 11])
        expect(shrinkageFromCoefficient(coefficientFromShrinkage(shrinkage, startsAt), startsAt)).toBeCloseTo(
          shrinkage,
          12,
        );
  });

  it("gives table 4-3 from table 13-5 to 0.03 %, where a coefficient is the species' own", () => {
    for (const { name, radial, tangential, startsAt } of SPECIES) {
      if (name === "White oak") continue; // a group's coefficients
      for (const { coefficient, shrinkage } of [radial, tangential])
        expect(Math.abs(shrinkageFromCoefficient(coefficient, startsAt) - shrinkage)).toBeLessThan(0.03);
    }
  });
});

describe("species from memory", () => {
  it("say so in every figure, are found by name, and stand in no other table", () => {
    for (const species of REMEMBERED_SPECIES) {
      expect(species.shrinkageMark).toBe("from memory");
      expect(species.radial.mark).toMatch(/^from memory/);
      expect(species.tangential.mark).toMatch(/^from memory/);
      expect(speciesNamed(species.name.toUpperCase())).toBe(species);
      expect(SPECIES.map(({ name }) => name)).not.toContain(species.name);
    }
  });
});
