import type { RandomStream } from "../numeric/random-stream.js";
import type { Likelihood } from "./maximise-likelihood.js";
import { expectValues } from "./trial-blocks.js";

/** What each reading might have shown at given sources, before the instrument rounds it or takes its leaves: one row a draw, mm or rad. */
export function drawReadings(
  { job, blocks, readings }: Likelihood,
  sources: Float64Array,
  stream: RandomStream,
  draws: number,
): Float64Array[] {
  return Array.from({ length: draws }, () => {
    const row = new Float64Array(readings.length);
    for (const block of blocks) {
      const latents = stream.fill(new Float64Array(block.latents));
      const mu = expectValues(job, block, sources, latents);
      for (const [k, place] of block.places.entries())
        row[place] = mu[k]! + block.noise[k]! * stream.normal();
    }
    return row;
  });
}
