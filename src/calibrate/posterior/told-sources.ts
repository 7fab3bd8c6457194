import type { Likelihood } from "../maximise-likelihood.js";
import { linearReading } from "../read-specimen.js";
import type { SourceLaw } from "./moments.js";

/** Whether any reading depends on each source. A gap depends on every error of the cell it is read in, whatever its slope is just there. */
export function toldSources({ blocks, sources, job }: Likelihood): boolean[] {
  const p = sources.length;
  const told = sources.map(() => false);
  for (const { parts, biases } of blocks) {
    for (const { specimen, readings } of parts) {
      for (const reading of readings) {
        const { column = -1 } = biases.get(reading.instrument) ?? {};
        if (column >= 0) told[column] = true;
        const slopes = reading.what === "gap" ? null : linearReading(specimen.cell, reading, job).slopes;
        for (const [k, share] of specimen.matrix.entries()) {
          if (share !== 0 && (slopes === null || slopes[Math.floor(k / p)] !== 0)) told[k % p] = true;
        }
      }
    }
  }
  return told;
}

/** A law of the sources in which those that no reading depends on are exactly as they were before: draws of them only scatter. */
export function withUntold(law: SourceLaw, told: readonly boolean[], expected: Float64Array): SourceLaw {
  const p = expected.length;
  return {
    mean: law.mean.map((value, i) => (told[i] ? value : expected[i]!)),
    covariance: law.covariance.map((value, k) => {
      const [i, j] = [Math.floor(k / p), k % p];
      return told[i] && told[j] ? value : i === j ? 1 : 0;
    }),
  };
}
