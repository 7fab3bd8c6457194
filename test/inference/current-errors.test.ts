import { describe, expect, it } from "vitest";
import { diagonalOf } from "../../src/core/numeric/dense.js";
import { currentErrors } from "../../src/inference/current-errors.js";
import { jobPosterior } from "../../src/inference/job-posterior.js";
import { momentsOf } from "../../src/inference/posterior/trial-distribution.js";
import type { Job } from "../../src/model/job/job.js";
import { sameSource } from "../../src/model/source-id.js";
import { demoJob } from "./demo.js";

const STOP = { kind: "stop", of: "key-end" } as const;
const rounds: Job["rounds"] = [
  { name: "second", moves: [{ source: STOP, by: 0.3, priorSd: 0.02 }] },
  { name: "third", moves: [{ source: STOP, by: -0.1, priorSd: 0.01 }] },
];

describe("the errors now", () => {
  const posterior = jobPosterior({ ...demoJob, rounds }, []);
  const { sources, mean, covariance, sample } = currentErrors(posterior);
  const m = sources.length;

  it("are those of ramps, stops, leans and stock, after all known moves and what those missed by", () => {
    expect(sources.some(({ id }) => id.round !== undefined)).toBe(false);
    expect(m).toBe(posterior.sources.length - 2);
    for (const [i, { id, priorSd }] of sources.entries()) {
      const moved = sameSource(id, STOP);
      expect(mean[i]).toBeCloseTo(moved ? 0.2 : 0, 12);
      const variance = priorSd ** 2 + (moved ? 0.02 ** 2 + 0.01 ** 2 : 0);
      expect(covariance[i * (m + 1)]).toBeCloseTo(variance, 12);
    }
  });

  it("are drawn as the sources are", () => {
    const drawn = momentsOf(sample, m);
    for (const [i, variance] of diagonalOf(drawn.covariance).entries()) {
      expect(variance / covariance[i * (m + 1)]!).toBeCloseTo(1, 0.7);
      expect(Math.abs(drawn.mean[i]! - mean[i]!)).toBeLessThan(4 * Math.sqrt(variance / posterior.draws));
    }
  });
});
