import type { SeatingModel } from "../../../seating/seating-model.js";
import type { RecordPlan } from "../record.js";
import type { Contacts } from "./contacts.js";

/** Where a trial's exact-order numbers lie in its record; draws, gaps and signs stay where first order has them. */
export interface ExactPlaces {
  /** Poses (x, y, turn of each body) before the step under trial, and that step. */
  readonly pose: number;
  readonly step: number;
  /** Energy at `pose` and its slope along the step. */
  readonly energy: number;
  readonly slope: number;
  /** The share of the step that was looked at last, and energy and slope there. */
  readonly share: number;
  readonly energyThere: number;
  readonly slopeThere: number;
  /** For each facet on a body: tangent of its turn, and offset / cosine of its turn. */
  readonly tangent: number;
  readonly reach: number;
  /** For each probe with a fixed face: how far that face has moved towards its mate. */
  readonly fixed: number;
  /** For each side on a body, in the order of the contacts: its derivatives by x and y, then by the turn at each probe. */
  readonly slopes: number;
  /** For each probe, stiffness × stretch, and −spring·gap. */
  readonly spring: number;
  readonly pull: number;
  /** For each facet on a body, with the body's turn: tangent, and offset / cosine. */
  readonly tangentThere: number;
  readonly reachThere: number;
  /** Derivatives of the energy by the poses. */
  readonly gradient: number;
}

export function exactPlaces(
  { bodies, weight }: SeatingModel,
  contacts: Contacts,
  plan: RecordPlan,
): ExactPlaces {
  const probes = weight.length;
  const facets = contacts.facets.length;
  return {
    pose: plan.take(3 * bodies),
    step: plan.take(3 * bodies),
    energy: plan.take(1),
    slope: plan.take(1),
    share: plan.take(1),
    energyThere: plan.take(1),
    slopeThere: plan.take(1),
    tangent: plan.take(facets),
    reach: plan.take(facets),
    fixed: plan.take(probes),
    slopes: plan.take(4 * contacts.contacts.length + 2 * probes),
    spring: plan.take(probes),
    pull: plan.take(probes),
    tangentThere: plan.take(facets),
    reachThere: plan.take(facets),
    gradient: plan.take(3 * bodies),
  };
}
