import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { normalCdf } from "../../../src/core/numeric/normal.js";
import { chanceSafe, leewaysOf } from "../../../src/inference/design/plan-safety.js";
import { cellSpecimen, jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";

const job = loadJob(join(import.meta.dirname, "../../../data/alcove-screen"));
const sources = jobSources(job);
const p = sources.length;
const specimen = cellSpecimen(job);
const leeways = leewaysOf(job, specimen, sources, 1);

describe("the leeway of an adjuster", () => {
  it("lies on both sides of nothing, within what the source is trusted to", () => {
    expect(leeways.map(({ adjuster }) => adjuster.name)).toEqual([
      ...["point-45", "point-67", "bevel-22", "diagonal-end", "hinge-mitre", "hinge-seat", "key-end"],
    ]);
    for (const { adjuster, low, high } of leeways) {
      expect(low).toBeLessThan(0);
      expect(high).toBeGreaterThan(0);
      // No move is worth making for less than half the smallest one.
      const least = Math.min(...adjuster.settings.map(({ change }) => Math.abs(change)).filter((x) => x > 0));
      expect(Math.min(-low, high)).toBeGreaterThan(least / 2);
    }
  });

  it("widens with the cost of adjusting, without end when nothing is worth it", () => {
    const dear = leewaysOf({ ...job, costs: { ...job.costs, adjusting: 2 } }, specimen, sources, 1);
    for (const [k, { low, high }] of dear.entries()) {
      expect(high).toBeGreaterThanOrEqual(leeways[k]!.high);
      expect(low).toBeLessThanOrEqual(leeways[k]!.low);
    }
    const never = leewaysOf({ ...job, costs: { ...job.costs, adjusting: 1e9 } }, specimen, sources, 1);
    for (const { low, high } of never)
      expect([low, high]).toEqual([Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY]);
    expect(chanceSafe(never, identity(1), 1)).toBe(1);
  });
});

/** Each source known to a share of what it is trusted to. */
function identity(share: number): Float64Array {
  return Float64Array.from({ length: p * p }, (_, k) =>
    k % (p + 1) === 0 ? (share * sources[k % p]!.priorSd) ** 2 : 0,
  );
}

describe("the chance that a verdict is safe", () => {
  it("is the product of the sources' own where they are independent", () => {
    const share = 0.4;
    const product = leeways.reduce((all, { adjuster, low, high }) => {
      const u = share * sources[adjuster.source]!.priorSd;
      return all * (normalCdf(high / u) - normalCdf(low / u));
    }, 1);
    // 2,000 draws: a standard error of 0.011 at most.
    expect(Math.abs(chanceSafe(leeways, identity(share), 3) - product)).toBeLessThan(0.045);
  });

  it("rises to certainty as the sources become known", () => {
    const chances = [1, 0.5, 0.2, 0.05].map((share) => chanceSafe(leeways, identity(share), 1));
    for (const [k, chance] of chances.entries())
      if (k > 0) expect(chance).toBeGreaterThanOrEqual(chances[k - 1]!);
    expect(chances[0]!).toBeLessThan(0.3);
    expect(chances.at(-1)!).toBeGreaterThan(0.99);
  });
});
