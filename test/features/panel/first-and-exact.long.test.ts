import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { failsOf } from "../../../src/features/panel/compare.js";
import { readyPanel } from "../../../src/features/panel/panel-tally.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import type { Order } from "../../../src/model/cell/cell.js";
import type { Job } from "../../../src/model/job/job.js";

const JOBS = ["three-by-three", "triangles"].map(
  (name) => [name, loadJob(join(import.meta.dirname, `support/${name}.yaml`))] as const,
);
const PANELS = 20_000;

/** Share of the panels in which every cell closes. */
function closes(job: Job, order: Order, seed: number): number {
  const fails = failsOf(readyPanel({ job, way: "as-cut", order, seed, panels: PANELS }));
  return fails.filter((count) => count === 0).length / PANELS;
}

describe("a small panel, 20 000 times", () => {
  it.each(JOBS)(
    "%s: closes as often in first order as in exact order, within Monte Carlo error",
    (_, job) => {
      const [first, exact] = [closes(job, "first", 1), closes(job, "exact", 2)];
      const error = Math.sqrt((first * (1 - first) + exact * (1 - exact)) / PANELS);
      // 95 % of such pairs lie within 1.96 of it; the seeds are the first two.
      expect(Math.abs(first - exact)).toBeLessThan(1.96 * error);
      // Sharp enough: a difference of one panel in a hundred would be seen.
      expect(1.96 * error).toBeLessThan(0.01);
      // On the same panels little is left between them.
      expect(Math.abs(first - closes(job, "exact", 1))).toBeLessThan(0.5 * error);
    },
  );
});
