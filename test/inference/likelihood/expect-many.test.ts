import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { expectMany } from "../../../src/inference/likelihood/expect-many.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { expectValues } from "../../../src/inference/likelihood/trial-blocks.js";
import { targetDensity } from "../../../src/inference/posterior/posterior-mode.js";
import { demoJob, demoReadings } from "../demo.js";

const sources = jobSources(demoJob);
const DRAWS = 5;

describe("what readings are expected to show at many draws", () => {
  for (const order of ["first", "exact"] as const)
    it(`is what is expected at each, in ${order} order`, () => {
      const job = { ...demoJob, order };
      const stream = createStream(3);
      const p = sources.length;
      const all = Float64Array.from(
        { length: DRAWS * p },
        (_, k) => 0.3 * sources[k % p]!.priorSd * stream.normal(),
      );
      for (const block of targetDensity(job, sources, demoReadings).blocks) {
        const n = block.latents;
        const latents = stream.fill(new Float64Array(DRAWS * n));
        const many = expectMany(job, block, { sources: all, latents, draws: DRAWS });
        for (let d = 0; d < DRAWS; d++) {
          const one = expectValues(
            job,
            block,
            all.subarray(d * p, (d + 1) * p),
            latents.subarray(d * n, (d + 1) * n),
          );
          for (const [k, value] of one.entries())
            expect(many[d * block.readings.length + k]).toBeCloseTo(value, 9);
        }
      }
    });
});
