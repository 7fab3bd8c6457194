import { at } from "../../core/numeric/dense.js";
import type { Cell } from "../../model/cell/cell.js";
import { noErrors } from "../../model/cell/cell-errors.js";
import { solveEquilibrium } from "../predict/equilibrium.js";
import type { FittingStep } from "./fitting-plan.js";

/** Tolerance of the press relative to its limit, mm: far below what is visible, far above the rounding error of an equilibrium. */
export const PRESS_TOLERANCE = 1e-10;
/** Offsets that differ by less than this, mm, count as equal: if the press jumps between them, the pieces go in at the shorter one. */
const OFFSET_TOLERANCE = 1e-11;
/** If a bracket has not shrunk to half its width within this many rounds, it is bisected. */
const PATIENCE = 3;
const MOST_ROUNDS = 100;
/** A secant step is at most this many times as long as the previous step. */
const BOLDEST = 8;

/**
 * How a search ended, or `searching`. `fitted`: the press is at its limit. `jumped`: the press passes the limit at a jump, and the result lies just short of the jump.
 * `never tight`, `never loose`: within the searched range the press never exceeds the limit, or never falls below it.
 */
export type TrimState = "searching" | "fitted" | "jumped" | "never tight" | "never loose";

/** Slopes of a group's press and gap with respect to its offset in the nominal cell, used for the first steps of a search. */
export interface NominalTrim {
  /** Press (mm) per mm of offset when the group is tight, > 0. */
  readonly press: number;
  /** Decrease of the joints' mean gap (mm) per mm of offset when the group is loose, > 0. */
  readonly opening: number;
}

/**
 * Finds the offset (mm, longer +) at which a press (mm, ≥ 0) equals its limit; the press increases with the offset. The search proposes `offset`, receives the press there through `tell`, and repeats
 * this until its state is no longer `searching`. It takes secants through the last two offsets or, if these leave the current bracket, steps along the slope on its tight side; a bracket that does not shrink is bisected.
 */
export class TrimSearch {
  state: TrimState = "searching";
  /** The offset at which the press is needed next, mm; at the end, the result. */
  offset = 0;
  rounds = 0;
  #limit = 0;
  #nominal: NominalTrim = { press: 1, opening: 1 };
  #shortest = 0;
  #longest = 0;
  /** The bracket: the longest offset known to be too loose and the shortest known to be too tight, mm. */
  #low = 0;
  #high = 0;
  /** The previous offset, and the excess of the press over the limit there, mm. */
  #before = 0;
  #overBefore = 0;
  /** Excess of the press over the limit at the shortest offset that is too tight, mm, and its slope from earlier tight offsets. */
  #overHigh = 0;
  #slopeHigh = 0;
  #stride = 0;
  #width = 0;
  #slow = 0;

  /**
   * @param limit the press to be reached, mm, > 0.
   * @param start first offset, mm.
   * @param furthest maximum distance from the start, mm.
   */
  begin(limit: number, start: number, nominal: NominalTrim, furthest: number): void {
    this.state = "searching";
    this.offset = start;
    this.rounds = 0;
    this.#limit = limit;
    this.#nominal = nominal;
    this.#shortest = start - furthest;
    this.#longest = start + furthest;
    this.#low = Number.NEGATIVE_INFINITY;
    this.#high = Number.POSITIVE_INFINITY;
    this.#before = Number.NaN;
    this.#overBefore = Number.NaN;
    this.#overHigh = 0;
    this.#slopeHigh = nominal.press;
    this.#stride = limit / nominal.press;
    this.#width = Number.POSITIVE_INFINITY;
    this.#slow = 0;
  }

  /**
   * @param press the press at `offset`, mm.
   * @param opening mean signed gap of the same joints, mm: a measure of how loose they are.
   */
  tell(press: number, opening: number): void {
    this.rounds++;
    const here = this.offset;
    const over = press - this.#limit;
    if (Math.abs(over) <= PRESS_TOLERANCE) {
      this.state = "fitted";
      return;
    }
    if (over > 0) this.#tighten(here, over);
    else this.#low = Math.max(this.#low, here);
    const bracketed = this.#high - this.#low < Number.POSITIVE_INFINITY;
    if (bracketed) this.#closeIn(over);
    else this.#stepOut(over, opening);
    this.#before = here;
    this.#overBefore = over;
  }

  #tighten(here: number, over: number): void {
    const slope = (this.#overHigh - over) / (this.#high - here);
    if (slope > 0 && Number.isFinite(this.#high)) this.#slopeHigh = slope;
    this.#high = here;
    this.#overHigh = over;
  }

  #stepOut(over: number, opening: number): void {
    const { offset } = this;
    if (offset <= this.#shortest || offset >= this.#longest) {
      this.state = over > 0 ? "never loose" : "never tight";
      return;
    }
    let by = Math.abs(over) / this.#nominal.press;
    if (over > 0) {
      const secant = this.#secant(over);
      if (secant < offset) by = Math.min(offset - secant, BOLDEST * this.#stride);
    } else by = Math.max(by, opening / this.#nominal.opening);
    // From the second step in the same direction on, the step length at least doubles.
    if (this.rounds > 2) by = Math.max(by, 2 * this.#stride);
    this.#stride = by;
    this.offset = over > 0 ? Math.max(offset - by, this.#shortest) : Math.min(offset + by, this.#longest);
  }

  #closeIn(over: number): void {
    const [low, high] = [this.#low, this.#high];
    const width = high - low;
    if (width <= OFFSET_TOLERANCE || this.rounds >= MOST_ROUNDS) {
      this.offset = low;
      this.state = "jumped";
      return;
    }
    this.#slow = width > this.#width / 2 ? this.#slow + 1 : 0;
    this.#width = Math.min(width, this.#width);
    const within = (offset: number): boolean => offset > low && offset < high;
    const secant = this.#secant(over);
    // The press is nearly constant while pieces are loose, so the slope on the tight side is used instead.
    const fromTight = high - this.#overHigh / this.#slopeHigh;
    if (this.#slow < PATIENCE && within(secant)) this.offset = secant;
    else if (this.#slow < PATIENCE && within(fromTight)) this.offset = fromTight;
    else {
      this.#slow = 0;
      this.offset = low + width / 2;
    }
  }

  /** The offset at which the line through the last two points meets the limit, mm; NaN if there is only one point. */
  #secant(over: number): number {
    return this.offset - (over * (this.offset - this.#before)) / (over - this.#overBefore);
  }
}

/** Largest trim or lengthening, as a share of the shortest length in the group. */
const MOST_TRIMMED = 0.25;

/** The offset that cancels the mean length error of the group's cuts, mm, so that the error of a stop is removed before a search begins. */
export const firstOffset = ({ trimmed }: FittingStep, errors: Float64Array): number =>
  -trimmed.reduce((sum, place) => sum + at(errors, place), 0) / trimmed.length;

/** Maximum distance of a search from its first offset, mm. */
export const furthestTrim = ({ pieces }: Cell, { group }: FittingStep): number =>
  MOST_TRIMMED * Math.min(...group.pieces.map((body) => at(pieces, body).length));

/** Deepest press of a group's joints, mm, ≥ 0. */
export const deepestPress = (gap: Float64Array, { probes }: FittingStep): number =>
  probes.reduce((worst, probe) => Math.max(worst, -at(gap, probe)), 0);

/** Mean signed gap of a group's joints, mm. */
export const meanGap = (gap: Float64Array, { probes }: FittingStep): number =>
  probes.reduce((sum, probe) => sum + at(gap, probe), 0) / probes.length;

/** Slopes of a group's press and opening with respect to its offset in the nominal cell, at first order: without other errors both are proportional to the offset. */
export function nominalTrim(step: FittingStep, pressRatio: number): NominalTrim {
  const gapsAt = (offset: number): Float64Array => {
    const errors = noErrors(step.model.cell);
    for (const place of step.trimmedHere) errors[place] = offset;
    return solveEquilibrium(step.model, errors, { order: "first", pressRatio }).rest.gap;
  };
  return { press: deepestPress(gapsAt(1), step), opening: meanGap(gapsAt(-1), step) };
}
