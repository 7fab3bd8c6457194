import { dividedColumns, lengthOf } from "./columns.js";
import { householderQr } from "./householder-qr.js";
import { trustStep } from "./trust-step.js";
import { areFinite, type Terms, type WeightedTerms, weighTerms } from "./weighted-terms.js";

/** A point, its terms, and its terms weighed. */
export interface Place {
  readonly x: Float64Array;
  readonly terms: Terms;
  readonly here: WeightedTerms;
}

const MOST_STEPS = 50;
/** The step that is still to go must come down to this share of itself. */
const NEARER = 0.9;
/** The value may rise by this share of itself: small residuals of large models are mostly rounding. */
const LEVEL = 1e-8;

/**
 * Full Gauss–Newton steps where the value no longer tells one point from another, for as long as the step still to go becomes shorter.
 *
 * @param scale of each unknown, > 0.
 */
export function polish(evaluate: (x: Float64Array) => Terms, from: Place, scale: Float64Array): Place {
  let place = from;
  let step = fullStep(place.here, scale);
  for (let k = 0; k < MOST_STEPS && step.length > 0; k++) {
    const x = place.x.map((value, j) => value + step.by[j]! / scale[j]!);
    const terms = evaluate(x.slice());
    const rise = terms.value - place.terms.value;
    if (!areFinite(terms) || rise > LEVEL * Math.max(Math.abs(terms.value), place.here.size ** 2)) break;
    const here = weighTerms(terms, x.length);
    const next = fullStep(here, scale);
    if (!(next.length < NEARER * step.length)) break;
    place = { x, terms, here };
    step = next;
  }
  return place;
}

function fullStep(
  { matrix, residual }: WeightedTerms,
  scale: Float64Array,
): { by: Float64Array; length: number } {
  const n = scale.length;
  const triangle = householderQr(dividedColumns(matrix, scale), residual.length, n, residual);
  const by = trustStep(triangle, Number.POSITIVE_INFINITY).step;
  return { by, length: lengthOf(by) };
}
