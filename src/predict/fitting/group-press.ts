import { noErrors } from "../../cutting/error-layout.js";
import type { Cell } from "../../lattice/cell.js";
import { settle } from "../settle.js";
import type { FittingStep } from "./fitting-plan.js";
import type { NominalTrim } from "./trim-search.js";

/** No piece is trimmed or lengthened by a larger share of its group's shortest length. */
const MOST_TRIMMED = 0.25;

/** The offset that undoes what the group's cuts are too long by on average, mm: the error of a stop is gone before a search begins. */
export const firstOffset = ({ trimmed }: FittingStep, errors: Float64Array): number =>
  -trimmed.reduce((sum, place) => sum + errors[place]!, 0) / trimmed.length;

/** How far from there a search may go, mm. */
export const furthestTrim = ({ pieces }: Cell, { group }: FittingStep): number =>
  MOST_TRIMMED * Math.min(...group.pieces.map((body) => pieces[body]!.length));

/** Worst press of a group's joints, mm, ≥ 0. */
export const worstPress = (gap: Float64Array, { probes }: FittingStep): number =>
  probes.reduce((worst, probe) => Math.max(worst, -gap[probe]!), 0);

/** Mean signed gap of a group's joints, mm. */
export const meanGap = (gap: Float64Array, { probes }: FittingStep): number =>
  probes.reduce((sum, probe) => sum + gap[probe]!, 0) / probes.length;

/** How a group answers to its offset in the nominal cell, first order: without other errors, press and opening are in proportion to it. */
export function nominalTrim(step: FittingStep, pressRatio: number): NominalTrim {
  const gapsAt = (offset: number): Float64Array => {
    const errors = noErrors(step.model.cell);
    for (const place of step.trimmedHere) errors[place] = offset;
    return settle(step.model, errors, { order: "first", pressRatio }).rest.gap;
  };
  return { press: worstPress(gapsAt(1), step), opening: meanGap(gapsAt(-1), step) };
}
