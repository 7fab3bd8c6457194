import { describe, expect, it } from "vitest";
import { loadWorld, type Tried, tryOne } from "./try-world.js";

describe("the negative control", () => {
  it("fails visibly where the honest fit of the same data does not", () => {
    const many = (name: "control" | "coarse-feeler"): Tried[] => {
      const world = loadWorld(name);
      return Array.from({ length: 4 }, (_, k) => tryOne(world, k, 7, false));
    };
    const held = (tried: readonly Tried[]): number => {
      const sources = tried.flatMap((one) => one.sources);
      return (
        sources.filter(({ truth, interval: [low, high] }) => low <= truth && truth <= high).length /
        sources.length
      );
    };
    expect(held(many("control"))).toBeLessThan(0.7);
    expect(held(many("coarse-feeler"))).toBeGreaterThan(0.8);
  });
});
