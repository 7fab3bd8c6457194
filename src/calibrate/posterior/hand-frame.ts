import { choleskySolveInPlace } from "../../numeric/cholesky.js";
import { invert } from "../information.js";
import type { Likelihood } from "../maximise-likelihood.js";
import type { TrialBlock } from "../trial-blocks.js";
import { trustedRows } from "./far-off.js";
import type { Frame } from "./frame-law.js";
import { type LinearForm, linearForms } from "./linear-forms.js";
import type { SourceLaw } from "./moments.js";
import { readingSpace } from "./reading-space.js";
import { type NormalRows, trialLaw } from "./trial-law.js";

/**
 * The law of sources (in their prior standard deviations) and cut-to-cut errors under the priors and the values read in the hand, which are linear and normal.
 * Where readings may be gross mistakes it is a guess: those that lie far off are left out, and the others are not quite believed.
 */
export function handFrame(likelihood: Likelihood): Frame {
  const { sources, blocks, job } = likelihood;
  const expected = Float64Array.from(sources, ({ expected: at = 0, trustedTo }) => at / trustedTo);
  const rows = blocks.map((block) => rowsOf(likelihood, block));
  const lawOf = (some: readonly NormalRows[]): SourceLaw => sourceLaw(some, blocks, expected);
  const used = job.mistakes === 0 ? rows : trustedRows(rows, blocks, lawOf);
  const trials = blocks.map(({ latents }, b) => trialLaw(used[b]!, latents));
  return { law: lawOf(used), trials, exact: job.mistakes === 0 };
}

/** The sources' law under their priors and rows of readings. */
function sourceLaw(
  rows: readonly NormalRows[],
  blocks: readonly TrialBlock[],
  expected: Float64Array,
): SourceLaw {
  const p = expected.length;
  const information = new Float64Array(p * p);
  for (let i = 0; i < p; i++) information[i * p + i] = 1;
  const pull = new Float64Array(p);
  for (const [b, { latents }] of blocks.entries()) {
    const { a, b: by, y } = rows[b]!;
    const factor = readingSpace(a, y.length, latents);
    const left = y.map((value, i) => expected.reduce((sum, x, c) => sum - by[i * p + c]! * x, value));
    for (let c = 0; c < p; c++) {
      const column = y.map((_, i) => by[i * p + c]!);
      choleskySolveInPlace(factor, y.length, column);
      for (const [i, w] of column.entries()) {
        pull[c]! += w * left[i]!;
        for (let d = 0; d < p; d++) information[c * p + d]! += w * by[i * p + d]!;
      }
    }
  }
  const covariance = invert(information, p);
  const mean = expected.map((value, i) =>
    pull.reduce((sum, force, j) => sum + covariance[i * p + j]! * force, value),
  );
  return { mean, covariance };
}

/** The values read in the hand during a trial. */
function rowsOf({ job, sources }: Likelihood, block: TrialBlock): NormalRows {
  const [a, b, y]: [number[], number[], number[]] = [[], [], []];
  let row = 0;
  for (const part of block.parts) {
    const forms = linearForms(job, part, block, sources);
    for (const [i, { value }] of part.readings.entries()) {
      const tau = block.noise[row++]!;
      const form = forms[i];
      if (!form || value === null) continue;
      y.push((value - form.constant) / tau);
      a.push(...dense(form.latents, block.latents, tau));
      b.push(...dense(form.sources, sources.length, tau));
    }
  }
  return { a: Float64Array.from(a), b: Float64Array.from(b), y: Float64Array.from(y) };
}

function dense(terms: LinearForm["sources"], length: number, tau: number): Float64Array {
  const out = new Float64Array(length);
  for (const [place, factor] of terms) out[place] = factor / tau;
  return out;
}
