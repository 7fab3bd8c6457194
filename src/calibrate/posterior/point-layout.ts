import type { Squares, WeightPart } from "../../numeric/elliptical-slice.js";
import { type ReadingLikelihood, readingLikelihood } from "../../readings/reading-likelihood.js";
import type { Likelihood } from "../maximise-likelihood.js";
import type { TrialBlock } from "../trial-blocks.js";
import type { LatentLaw } from "./latent-law.js";
import { type LinearForm, linearForms, partErrorForms } from "./linear-forms.js";
import { SparseRows } from "./sparse-rows.js";
import { gapPart, linearPart } from "./weight-parts.js";

/** Where the numbers of one trial lie in a point; all are differences from the frame's centre. */
export interface TrialPlaces {
  readonly law: LatentLaw;
  /** d of the trial's law. */
  readonly own: number;
  /** The cut-to-cut errors u, and what they are at the centre. */
  readonly latents: number;
  readonly centre: Float64Array;
}

/** How a point is laid out: the p sources first, then their whitened numbers z, then whatever follows from them and from each trial's d. */
export interface PointLayout {
  readonly length: number;
  readonly trials: readonly TrialPlaces[];
  /** Fills in all that follows from the sources and every trial's d. */
  readonly complete: (point: Float64Array) => void;
  readonly squares: Squares;
  readonly parts: readonly WeightPart[];
}

/** Lays a point out about sources `mean`, in their prior standard deviations. */
export function pointLayout(
  likelihood: Likelihood,
  mean: Float64Array,
  laws: readonly LatentLaw[],
): PointLayout {
  const draft = new Draft();
  const { sources, blocks } = likelihood;
  for (const [i, { expected = 0, trustedTo }] of sources.entries())
    draft.square(draft.room(1), 1, mean[i]! - expected / trustedTo);
  // The frame's own density, ½|z|², is divided out.
  for (let i = 0; i < sources.length; i++) draft.square(draft.room(1), -1, 0);
  const trials = laws.map((law) => placeTrial(law, mean, draft));
  for (const [b, block] of blocks.entries()) placeReadings(likelihood, block, mean, trials[b]!, draft);
  return draft.finished(trials);
}

/** A layout in the making. */
class Draft {
  readonly rows = new SparseRows();
  readonly parts: WeightPart[] = [];
  readonly #squares: { place: number; gain: number; centre: number }[] = [];
  #length = 0;

  room(count: number): number {
    this.#length += count;
    return this.#length - count;
  }

  square(place: number, gain: number, centre: number): void {
    this.#squares.push({ place, gain, centre });
  }

  finished(trials: readonly TrialPlaces[]): PointLayout {
    const squares = this.#squares;
    return {
      ...{ trials, length: this.#length, parts: this.parts, complete: this.rows.compiled() },
      squares: {
        place: Int32Array.from(squares, ({ place }) => place),
        gain: Float64Array.from(squares, ({ gain }) => gain),
        centre: Float64Array.from(squares, ({ centre }) => centre),
      },
    };
  }
}

/** Where nothing is told, prior and frame of the cut-to-cut errors are the same, and u is d itself. */
function placeTrial(law: LatentLaw, mean: Float64Array, draft: Draft): TrialPlaces {
  const { latents: n, readings: r, a, follow, about } = law;
  const p = mean.length;
  const own = draft.room(n);
  if (r === 0) return { law, own, latents: own, centre: law.centre };
  const [seen, latents] = [draft.room(r), draft.room(n)];
  const centre = law.centre.map((value, k) =>
    mean.reduce((sum, m, c) => sum + follow[k * p + c]! * (m - about[c]!), value),
  );
  // The frame's −log density is ½(|d|² + |A·d|²).
  for (let k = 0; k < n; k++) {
    draft.square(own + k, -1, 0);
    draft.square(latents + k, 1, centre[k]!);
    const followed = Array.from(mean, (_, c) => [c, follow[k * p + c]!] as const);
    draft.rows.add(latents + k, [[own + k, 1], ...followed]);
  }
  for (let i = 0; i < r; i++) {
    draft.square(seen + i, -1, 0);
    draft.rows.add(
      seen + i,
      Array.from({ length: n }, (_, k) => [own + k, a[i * n + k]!] as const),
    );
  }
  return { law, own, latents, centre };
}

/** Readings that are linear and normal are squares; others are looked at. */
function placeReadings(
  likelihood: Likelihood,
  block: TrialBlock,
  mean: Float64Array,
  trial: TrialPlaces,
  draft: Draft,
): void {
  const { job, sources } = likelihood;
  const about = { mean, latents: trial.centre, sources };
  const place = ({ bySource, byLatent }: LinearForm): number => {
    const at = draft.room(1);
    const latents = [...byLatent].map(([k, factor]) => [trial.latents + k, factor] as const);
    draft.rows.add(at, [...bySource, ...latents]);
    return at;
  };
  let row = 0;
  for (const part of block.parts) {
    const forms = linearForms(job, part, block, about);
    const gaps: { likelihood: ReadingLikelihood; row: number }[] = [];
    for (const [i, reading] of part.readings.entries()) {
      const tau = block.noise[row]!;
      const of = readingLikelihood(reading, tau, job.mistakes);
      row++;
      const form = forms[i];
      if (!form) gaps.push({ likelihood: of, row: i });
      else if (reading.value !== null && job.mistakes === 0)
        draft.square(place(form), 1 / tau ** 2, form.centre - reading.value);
      else draft.parts.push(linearPart(place(form), form.centre, of));
    }
    if (gaps.length === 0) continue;
    const errors = partErrorForms(part, about);
    const first = errors.map((form) => place(form))[0]!;
    draft.parts.push(
      gapPart({ job, part, block, about, first, centre: errors.map(({ centre }) => centre), gaps }),
    );
  }
}
