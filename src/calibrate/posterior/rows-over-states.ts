import { mistrustfulLoss } from "../../readings/reading-loss.js";
import type { Likelihood } from "../maximise-likelihood.js";
import { expectBlock, type TrialBlock } from "../trial-blocks.js";
import type { State } from "./frame-law.js";
import { type NormalRows, type TrialLaw, trialLaw } from "./trial-law.js";

/**
 * Laws of every trial's cut-to-cut errors that stand for what its readings say on the whole, over the states of a walk: at each state a reading is a straight line of slope √ρ″·∂μ and
 * a value, and these are averaged, so that one that answers now this way, now that, counts for little. It is taken at first order: a frame need not be exact.
 */
export function lawsOverStates(likelihood: Likelihood, states: readonly State[]): TrialLaw[] {
  const first = { ...likelihood, job: { ...likelihood.job, order: "first" as const } };
  return likelihood.blocks.map((block, b) => trialLaw(averageRows(first, block, b, states), block.latents));
}

function averageRows(
  { job, sources }: Likelihood,
  block: TrialBlock,
  b: number,
  states: readonly State[],
): NormalRows {
  const [n, r, p] = [block.latents, block.readings.length, sources.length];
  const out = { a: new Float64Array(r * n), b: new Float64Array(r * p), y: new Float64Array(r) };
  const share = 1 / states.length;
  for (const { sources: x, latents } of states) {
    const u = latents[b]!;
    const values = x.map((value, i) => value * sources[i]!.trustedTo);
    const { mu, byLatent, bySource } = expectBlock(job, block, values, u);
    for (const [i, reading] of block.readings.entries()) {
      const { slope, curvature } = mistrustfulLoss(reading, mu[i]!, block.noise[i]!, job.mistakes);
      if (!(curvature > 0)) continue;
      const root = Math.sqrt(curvature);
      let y = -slope / root;
      for (let k = 0; k < n; k++) {
        const by = root * byLatent[i * n + k]!;
        out.a[i * n + k]! += share * by;
        y += by * u[k]!;
      }
      for (let c = 0; c < p; c++) {
        const by = root * bySource[i * p + c]! * sources[c]!.trustedTo;
        out.b[i * p + c]! += share * by;
        y += by * x[c]!;
      }
      out.y[i]! += share * y;
    }
  }
  return telling(out, n, p);
}

/** The rows that say anything. */
function telling({ a, b, y }: NormalRows, n: number, p: number): NormalRows {
  const kept = [...y.keys()].filter((i) => a.subarray(i * n, (i + 1) * n).some((by) => by !== 0));
  const of = (from: Float64Array, width: number): Float64Array =>
    Float64Array.from(kept.flatMap((i) => [...from.subarray(i * width, (i + 1) * width)]));
  return { a: of(a, n), b: of(b, p), y: of(y, 1) };
}
