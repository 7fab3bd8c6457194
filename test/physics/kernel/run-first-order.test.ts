import { expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { bestShare } from "../../../src/physics/kernel/run-first-order.js";

/** ½ Σ w·k(g)·g² and its slope at a share of the way. */
function along(gap: Float64Array, end: Float64Array, weight: Float64Array, ratio: number, share: number) {
  let [energy, slope] = [0, 0];
  for (const [i, g0] of gap.entries()) {
    const g = g0 + share * (end[i]! - g0);
    const spring = weight[i]! * (g < 0 ? ratio : 1);
    energy += 0.5 * spring * g * g;
    slope += spring * g * (end[i]! - g0);
  }
  return { energy, slope };
}

it("the best share lowers the energy to where it hardly slopes", () => {
  const stream = createStream(4);
  const n = 12;
  let searched = 0;
  for (let k = 0; k < 2000; k++) {
    const memory = stream.fill(new Float64Array(2 * n));
    const weight = stream.fillUniform(new Float64Array(n));
    const [here, there] = [memory.subarray(0, n), memory.subarray(n)];
    const at = (share: number) => along(here, there, weight, 1000, share);
    if (at(0).slope >= 0) continue;
    searched++;
    const share = bestShare(memory, 0, n, weight, 1000);
    expect(share).toBeGreaterThan(0);
    expect(at(share).energy).toBeLessThan(at(0).energy);
    expect(Math.abs(at(share).slope)).toBeLessThanOrEqual(0.05 * Math.abs(at(0).slope) * (1 + 1e-12));
  }
  expect(searched).toBeGreaterThan(500);
});
