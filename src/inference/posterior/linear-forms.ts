import { at, entryOf } from "../../core/numeric/dense.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { Source } from "../../model/sources.js";
import { NO_BIAS, type Part, type ReadingBlock } from "../likelihood/trial-blocks.js";

/** A linear function of the sources (in their prior standard deviations) and a trial's cut-to-cut errors: [index, factor] of the non-zero terms. */
export interface LinearForm {
  readonly constant: number;
  readonly sources: readonly (readonly [number, number])[];
  readonly latents: readonly (readonly [number, number])[];
}

/** Whether a reading is linear in the unknowns with normal noise. */
export const isNormal = ({ what, value }: Reading, { mistakes }: Pick<Job, "mistakes">): boolean =>
  what !== "gap" && value !== null && mistakes === 0;

type Units = readonly Pick<Source, "priorSd">[];

/** Each elementary error of a specimen, rad or mm. */
export function partErrorForms({ specimen, latent }: Part, units: Units): LinearForm[] {
  const { matrix, known, betweenCutSd, carried } = specimen;
  return Array.from(known, (constant, e) => {
    const sources: [number, number][] = [];
    for (const [c, { priorSd }] of units.entries()) {
      const factor = entryOf(matrix, e, c, units.length);
      if (factor !== 0) sources.push([c, factor * priorSd]);
    }
    const own = [{ from: e, to: e, factor: 1 }, ...carried.filter(({ to }) => to === e)];
    const latents = own.flatMap(({ from, factor }): [number, number][] =>
      at(latent, from) < 0 ? [] : [[at(latent, from), factor * at(betweenCutSd, from)]],
    );
    return { constant, sources, latents };
  });
}

/** Expected value of each reading of a part, mm or rad; `null` for a gap, which is not linear. */
export function linearForms(
  job: Job,
  part: Part,
  { biases }: Pick<ReadingBlock, "biases">,
  units: Units,
): (LinearForm | null)[] {
  const errors = part.readings.every(({ what }) => what === "gap") ? [] : partErrorForms(part, units);
  return part.readings.map((reading) => {
    if (reading.what === "gap") return null;
    const { nominal, slopes } = part.specimen.reader.linear(reading, job);
    const { shift, column } = biases.get(reading.instrument) ?? NO_BIAS;
    const [sources, latents] = [new Map<number, number>(), new Map<number, number>()];
    let constant = nominal + shift;
    for (const [e, slope] of slopes.entries()) {
      if (slope === 0) continue;
      const error = at(errors, e);
      constant += slope * error.constant;
      addTo(sources, error.sources, slope);
      addTo(latents, error.latents, slope);
    }
    if (column >= 0) addTo(sources, [[column, at(units, column).priorSd]], 1);
    return { constant, sources: [...sources], latents: [...latents] };
  });
}

function addTo(sums: Map<number, number>, terms: LinearForm["sources"], factor: number): void {
  for (const [k, value] of terms) sums.set(k, (sums.get(k) ?? 0) + factor * value);
}

/** A form's value at sources `mean` (in their prior standard deviations) and a trial's cut-to-cut errors. */
export function valueAt(
  { constant, sources, latents: own }: LinearForm,
  { mean, latents }: { readonly mean: Float64Array; readonly latents: Float64Array },
): number {
  let sum = constant;
  for (const [c, factor] of sources) sum += factor * at(mean, c);
  for (const [k, factor] of own) sum += factor * at(latents, k);
  return sum;
}
