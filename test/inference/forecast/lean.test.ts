import { describe, expect, it } from "vitest";
import { normalQuantile } from "../../../src/core/numeric/normal.js";
import { forecastCells } from "../../../src/inference/forecast/forecast-cells.js";
import { forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import { BEYOND, BlockTally } from "../../../src/inference/forecast/tally-blocks.js";
import { createKernel } from "../../../src/physics/kernel/seating-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { sourceText } from "../../../src/render/source-text.js";
import { quietJob } from "./support/quiet-job.js";

const TRUSTED = 0.3 / 57.3;
const DEPTH = 12;
const QUIET = quietJob([], { depth: DEPTH, limits: { gap: 0.08, snug: 0.05 } });

/** No source of error but the lean of the ramp that cuts the hinges' ends, trusted so far; or known to lean so. */
const leaning = (priorSd: number, priorMean = 0) => ({
  ...QUIET,
  jigs: QUIET.jigs.map((jig) =>
    jig.name === "bevel-22" ? { ...jig, lean: { priorMean, priorSd, rolled: false } } : jig,
  ),
});

describe("a forecast on cells whose ramp may lean", () => {
  const job = leaning(TRUSTED);
  const sources = forecastSources(job);

  it("has the lean as one source among the groups", () => {
    expect(sources.groups.map(({ id, shared }) => [sourceText(id), shared])).toEqual([
      ["lean of bevel-22", true],
    ]);
    expect(sources.groups[0]!.spread).toEqual([{ mean: 0, deviation: TRUSTED, angular: true }]);
    expect(sources.cell.depth).toBe(DEPTH);
  });

  // First order: the widest gap is c·|λ|, for either sign of λ by symmetry of front and back; so of a half-normal the share p lies below c·s·Φ⁻¹((1 + p)/2).
  it("has the quantiles of a half-normal", async () => {
    const kernel = createKernel(cellModel(sources.cell), { inputs: sources.inputs });
    for (const [trial, z] of [1, -1].entries()) kernel.drawsOf(trial)[0] = z;
    kernel.seat(2);
    const atOne = kernel.widestGap(0);
    expect(kernel.widestGap(1)).toBeCloseTo(atOne, 10);
    // Both mitres gape by nearly 2·λ·d, for both their faces lean.
    expect(atOne).toBeGreaterThan(1.6 * TRUSTED * DEPTH);
    expect(atOne).toBeLessThan(2 * TRUSTED * DEPTH);
    const { cell, budget } = await forecastCells(job, { trials: 40_000, seed: 11, bothOrders: 0 });
    for (const { p, value, low, high } of cell.quantiles) {
      const truth = atOne * normalQuantile((1 + p) / 2);
      // Twice the bounds (95 %): six of them are asked for at once.
      expect(Math.abs(value - truth), String(p)).toBeLessThan(2 * Math.max(high - value, value - low));
    }
    expect(budget!.lines.map(({ group }) => sourceText(group.id))).toEqual(["lean of bevel-22"]);
    expect(budget!.lines[0]!.total.value).toBeCloseTo(1, 1);
  });

  it("counts a joint by its wider side, front or back", () => {
    const kernel = createKernel(cellModel(sources.cell), { inputs: sources.inputs });
    const tally = new BlockTally(kernel, job.limits, 4000, 5);
    tally.work(0);
    const { beyond } = tally.total();
    const mitre = sources.cell.joints.findIndex(({ name }) => name === "hinge-1.end-right|hinge-2.end-left");
    const share = beyond[BEYOND.kinds * (mitre + 1) + BEYOND.gap]! / 4000;
    // The mitres are the worst of all joints, so theirs is the share of the cells; the front alone would count half of them.
    expect(share).toBeGreaterThan(0.3);
    expect(share).toBeCloseTo(beyond[BEYOND.gap]! / 4000, 2);
  });

  it("takes a known lean as it is", () => {
    const known = forecastSources(leaning(0, TRUSTED));
    expect(known.groups).toEqual([]);
    expect(known.inputs.mean.filter((error) => error !== 0)).toHaveLength(8);
    const expected = forecastSources(leaning(TRUSTED, TRUSTED));
    expect(expected.inputs.mean).toEqual(known.inputs.mean);
    expect(expected.groups[0]!.perfect).toEqual([-1]);
  });
});
