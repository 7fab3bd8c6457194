import type { Squares, WeightPart } from "../../numeric/elliptical-slice.js";
import { readingLikelihood } from "../../readings/reading-likelihood.js";
import type { Likelihood } from "../maximise-likelihood.js";
import type { TrialBlock } from "../trial-blocks.js";
import type { Frame } from "./frame-law.js";
import { isNormal, type LinearForm, linearForms, partErrorForms, valueAt } from "./linear-forms.js";
import { SparseRows } from "./sparse-rows.js";
import { latentsAt, type TrialLaw } from "./trial-law.js";
import { type GapReading, gapPart, type LinearReadingAt, linearPart } from "./weight-parts.js";

/** Where the numbers of one trial lie in a point; all are differences from the frame's centre. */
export interface TrialPlaces {
  readonly law: TrialLaw;
  /** The cut-to-cut errors u, and what they are at the centre. */
  readonly latents: number;
  readonly centre: Float64Array;
  /** A·u + B·x. */
  readonly seen: number;
}

/** How a point is laid out: the p sources first, then their whitened numbers z, then the trials, and whatever follows from them. */
export interface PointLayout {
  readonly length: number;
  readonly trials: readonly TrialPlaces[];
  /** Fills in all that follows from the sources and the trials. */
  readonly complete: (point: Float64Array) => void;
  readonly squares: Squares;
  readonly parts: readonly WeightPart[];
}

/** Lays a point out about the frame's centre. */
export function pointLayout(likelihood: Likelihood, frame: Frame): PointLayout {
  const draft = new Draft(!frame.exact);
  const { sources, blocks } = likelihood;
  const { mean } = frame.law;
  for (const [i, { expected = 0, trustedTo }] of sources.entries())
    draft.square(draft.room(1), 1, mean[i]! - expected / trustedTo);
  // The frame's own density, ½|z|², is divided out.
  for (let i = 0; i < sources.length; i++) draft.square(draft.room(1), -1, 0);
  const trials = frame.trials.map((law) => placeTrial(law, mean, draft));
  for (const [b, block] of blocks.entries()) placeReadings(likelihood, block, mean, trials[b]!, draft);
  return draft.finished(trials);
}

/** A layout in the making. */
class Draft {
  readonly rows = new SparseRows();
  readonly parts: WeightPart[] = [];
  readonly #squares: { place: number; gain: number; centre: number }[] = [];
  #length = 0;

  /** @param squares whether they are wanted: where the frame is exact they cancel. */
  constructor(readonly squares: boolean) {}

  room(count: number): number {
    this.#length += count;
    return this.#length - count;
  }

  square(place: number, gain: number, centre: number): void {
    if (this.squares) this.#squares.push({ place, gain, centre });
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

/**
 * Places a trial. Prior over frame of its cut-to-cut errors is exp ½|y − A·u − B·x|², times the chance of y at the sources alone, exp −½|L⁻¹(y − B·x)|².
 */
function placeTrial(law: TrialLaw, mean: Float64Array, draft: Draft): TrialPlaces {
  const { latents: n, readings: r, a, b, y, whitening } = law;
  const p = mean.length;
  const latents = draft.room(n);
  const seen = draft.room(r);
  const centre = latentsAt(law, mean);
  if (!draft.squares) return { law, latents, centre, seen };
  const left = y.map((value, i) => mean.reduce((sum, x, c) => sum + b[i * p + c]! * x, -value));
  for (let i = 0; i < r; i++) {
    draft.square(
      seen + i,
      -1,
      centre.reduce((sum, u, k) => sum + a[i * n + k]! * u, left[i]!),
    );
    const whitened = draft.room(1);
    draft.square(
      whitened,
      1,
      left.reduce((sum, value, j) => sum + whitening[i * r + j]! * value, 0),
    );
    const by = Array.from(mean, (_, c) => {
      let sum = 0;
      for (let j = 0; j <= i; j++) sum += whitening[i * r + j]! * b[j * p + c]!;
      return [c, sum] as const;
    });
    draft.rows.add(whitened, by);
  }
  return { law, latents, centre, seen };
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
  const about = { mean, latents: trial.centre };
  const place = (at: number, { sources: c, latents: k }: LinearForm): number => {
    const latents = k.map(([latent, factor]) => [trial.latents + latent, factor] as const);
    draft.rows.add(at, [...c, ...latents]);
    return at;
  };
  const linear: LinearReadingAt[] = [];
  let row = 0;
  for (const part of block.parts) {
    const forms = linearForms(job, part, block, sources);
    const gaps: GapReading[] = [];
    for (const [i, reading] of part.readings.entries()) {
      const tau = block.noise[row++]!;
      const form = forms[i];
      const likelihood = readingLikelihood(reading, tau, job.mistakes);
      if (!form) gaps.push({ likelihood, row: i });
      else if (!isNormal(reading, job))
        linear.push({ place: place(draft.room(1), form), centre: valueAt(form, about), likelihood });
      else if (draft.squares)
        draft.square(place(draft.room(1), form), 1 / tau ** 2, valueAt(form, about) - reading.value!);
    }
    if (gaps.length === 0) continue;
    const errors = partErrorForms(part, sources);
    const first = draft.room(errors.length);
    for (const [e, form] of errors.entries()) place(first + e, form);
    const centre = Float64Array.from(errors, (form) => valueAt(form, about));
    draft.parts.push(gapPart({ job, part, block, sources, mean, first, centre, gaps }));
  }
  if (linear.length > 0) draft.parts.unshift(linearPart(linear));
}
