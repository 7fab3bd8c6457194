import { describe, expect, it } from "vitest";
import { rankedChecks } from "../../../src/features/explain/next-check.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { sourceText } from "../../../src/render/source-text.js";
import { job, specimen } from "./invented-cell.js";

const only = (name: string, size: number): Float64Array[] => [
  Float64Array.from(jobSources(job), ({ id }) => (sourceText(id) === name ? size : 0)),
];

describe("the check that tells two sets of sources apart", () => {
  it("measures what only one of them changes: the key, where its stop or the seat's may be off", () => {
    const [best] = rankedChecks(
      { job, specimen },
      only("stop of key-end", -0.18),
      only("stop of hinge-seat", -0.13),
    );
    expect(best!.check).toMatchObject({ what: "length", subject: "key-1", instrument: "caliper" });
    expect(best!.bits).toBeGreaterThan(0.9);
    expect(best!.foreseen[0][1]).toBeLessThan(best!.foreseen[1][1] - 0.15);
  });

  it("reads an angle or a bench where the sign of a ramp is open, never the cell that was read", () => {
    const ranked = rankedChecks(
      { job, specimen },
      only("ramp of point-67", 0.013),
      only("ramp of point-67", -0.013),
    );
    expect(ranked[0]!.check.setUp).toBe("hinge-point");
    expect(ranked[0]!.right).toBeGreaterThan(0.99);
    expect(ranked.every(({ check }) => check.bench !== "cell")).toBe(true);
  });

  it("has nothing to say of nothing", () => {
    expect(rankedChecks({ job, specimen }, [], only("stop of key-end", 0.1))).toEqual([]);
  });
});
