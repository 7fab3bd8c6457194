import type { Source } from "../../cutting/sources.js";
import type { Job } from "../../job/job.js";
import { linearReading } from "../read-specimen.js";
import { NO_BIAS, type Part, type TrialBlock } from "../trial-blocks.js";

/** A number that depends linearly on sources (in their prior standard deviations) and a trial's cut-to-cut errors; only factors other than zero are held. */
export interface LinearForm {
  /** At the frame's centre. */
  readonly centre: number;
  readonly bySource: ReadonlyMap<number, number>;
  readonly byLatent: ReadonlyMap<number, number>;
}

/** The centre of a frame: sources in their prior standard deviations, and a trial's cut-to-cut errors. */
export interface FrameCentre {
  readonly mean: Float64Array;
  readonly latents: Float64Array;
  readonly sources: readonly Pick<Source, "trustedTo">[];
}

/** A specimen's elementary errors, rad or mm. */
export function partErrorForms({ specimen, latent }: Part, about: FrameCentre): LinearForm[] {
  const { matrix, known, scatter } = specimen;
  const p = about.mean.length;
  return Array.from(known, (value, e) => {
    const bySource = new Map<number, number>();
    for (let c = 0; c < p; c++) {
      const factor = matrix[e * p + c]! * about.sources[c]!.trustedTo;
      if (factor !== 0) bySource.set(c, factor);
    }
    const byLatent = new Map(latent[e]! < 0 ? [] : [[latent[e]!, scatter[e]!]]);
    return { centre: valueAt({ centre: value, bySource, byLatent }, about), bySource, byLatent };
  });
}

/** What each reading of a part shows, mm or rad; `null` for a gap, which is not linear. */
export function linearForms(
  job: Job,
  part: Part,
  { biases }: Pick<TrialBlock, "biases">,
  about: FrameCentre,
): (LinearForm | null)[] {
  const errors = part.readings.every(({ what }) => what === "gap") ? [] : partErrorForms(part, about);
  return part.readings.map((reading) => {
    if (reading.what === "gap") return null;
    const { nominal, slopes } = linearReading(part.specimen.cell, reading, job);
    const { shift, column } = biases.get(reading.instrument) ?? NO_BIAS;
    const [bySource, byLatent] = [new Map<number, number>(), new Map<number, number>()];
    let centre = nominal + shift;
    for (const [e, slope] of slopes.entries()) {
      if (slope === 0) continue;
      centre += slope * errors[e]!.centre;
      addTo(bySource, errors[e]!.bySource, slope);
      addTo(byLatent, errors[e]!.byLatent, slope);
    }
    if (column >= 0) {
      const { trustedTo } = about.sources[column]!;
      centre += trustedTo * about.mean[column]!;
      addTo(bySource, [[column, trustedTo]], 1);
    }
    return { centre, bySource, byLatent };
  });
}

function addTo(sums: Map<number, number>, terms: Iterable<readonly [number, number]>, factor: number): void {
  for (const [k, value] of terms) sums.set(k, (sums.get(k) ?? 0) + factor * value);
}

function valueAt({ centre, bySource, byLatent }: LinearForm, { mean, latents }: FrameCentre): number {
  let sum = centre;
  for (const [c, factor] of bySource) sum += factor * mean[c]!;
  for (const [k, factor] of byLatent) sum += factor * latents[k]!;
  return sum;
}
