import type { CellModel } from "../../predict/cell-model.js";
import type { Routine } from "../tape/value.js";
import { beginRoutine } from "./exact/begin-routine.js";
import { contactsOf } from "./exact/contacts.js";
import { type ExactPlaces, exactPlaces } from "./exact/places.js";
import { evaluateRoutine, hessianRoutine, lookRoutine, stepRoutine } from "./exact/step-routines.js";
import type { ExactCell } from "./exact/tape-energy.js";
import type { FirstOrderRoutines } from "./first-order-routines.js";
import type { RecordPlan } from "./record.js";
import type { TrialInputs } from "./trial-inputs.js";

/** What exact order runs. */
export type ExactRoutineName = "begin" | "evaluate" | "newton" | "gauss" | "hessian" | "look";

export function exactRoutines(
  model: CellModel,
  inputs: TrialInputs,
  pressRatio: number,
  first: FirstOrderRoutines,
  plan: RecordPlan,
): { places: ExactPlaces; routines: Record<ExactRoutineName, Routine> } {
  const { seating } = model;
  const contacts = contactsOf(seating);
  const places = exactPlaces(seating, contacts, plan);
  const { gap, bound } = first.places;
  const cell: ExactCell = { seating, contacts, pressRatio, places, bound };
  return {
    places,
    routines: {
      begin: beginRoutine(model, inputs, contacts, first, places),
      evaluate: evaluateRoutine(cell, gap),
      newton: stepRoutine("newton", cell, gap),
      gauss: stepRoutine("gauss", cell, gap),
      hessian: hessianRoutine(cell, plan.words),
      look: lookRoutine(cell),
    },
  };
}
