import { at } from "../../core/numeric/dense.js";
import type { Cell } from "../../model/cell/cell.js";
import { noErrors } from "../../model/cell/cell-errors.js";
import { solveEquilibrium } from "../predict/equilibrium.js";
import type { FittingStep } from "./fitting-plan.js";

/** A fit is found when the press is this near to the limit, mm: far below what shows, far above the rounding of a rest. */
export const PRESS_TOLERANCE = 1e-10;
/** Offsets nearer to each other than this, mm, are one: where the press jumps between them, the pieces go in at the shorter. */
const OFFSET_TOLERANCE = 1e-11;
/** A bracket that this many rounds have not halved is halved. */
const PATIENCE = 3;
const MOST_ROUNDS = 100;
/** A stride by a secant goes at most this many times as far as the one before it. */
const BOLDEST = 8;

/**
 * How a search ended, or `searching`. `fitted`: the press is at its limit. `jumped`: it passes the limit at a jump, and the answer lies just short of it.
 * `never tight`, `never loose`: no press beyond the limit, or none within it, as far as was searched.
 */
export type TrimState = "searching" | "fitted" | "jumped" | "never tight" | "never loose";

/** How a group's press answers to its offset in the nominal cell: for the first strides of a search. */
export interface NominalTrim {
  /** Press a mm of offset, when tight, > 0. */
  readonly press: number;
  /** Fall of the joints' mean gap a mm of offset, when loose, > 0. */
  readonly opening: number;
}

/**
 * Seeks the offset (mm, longer +) at which a press (mm, ≥ 0) meets its limit, where the press rises with the offset. It proposes `offset`, receives the press there by `tell`, and so
 * on until its state is no longer `searching`. Secants through the last two offsets, or where those lead out of the bracket known so far, along the slope on its tight side; a bracket that does not shrink is halved.
 */
export class TrimSearch {
  state: TrimState = "searching";
  /** The offset at which the press is wanted next; at the end, the answer. */
  offset = 0;
  rounds = 0;
  #limit = 0;
  #nominal: NominalTrim = { press: 1, opening: 1 };
  #shortest = 0;
  #longest = 0;
  /** The longest offset known to be too loose and the shortest known to be too tight. */
  #low = 0;
  #high = 0;
  /** The offset before the last, and how far the press was over the limit there. */
  #before = 0;
  #overBefore = 0;
  /** How far the press is over the limit at the shortest offset that is too tight, and its slope by the tight ones before. */
  #overHigh = 0;
  #slopeHigh = 0;
  #stride = 0;
  #width = 0;
  #slow = 0;

  /**
   * @param limit press to be met, mm, > 0.
   * @param start first offset, mm.
   * @param furthest most by which the search may leave its start, mm.
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
   * @param press what it is at `offset`, mm.
   * @param opening mean signed gap of the same joints, mm: says how loose loose is.
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
    // The second stride to the same side begins to hurry.
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
    // Where pieces are loose the press is nearly flat: from there the way back is along its slope on the tight side.
    const fromTight = high - this.#overHigh / this.#slopeHigh;
    if (this.#slow < PATIENCE && within(secant)) this.offset = secant;
    else if (this.#slow < PATIENCE && within(fromTight)) this.offset = fromTight;
    else {
      this.#slow = 0;
      this.offset = low + width / 2;
    }
  }

  /** Where the line through the last two offsets meets the limit; not a number when there is only one. */
  #secant(over: number): number {
    return this.offset - (over * (this.offset - this.#before)) / (over - this.#overBefore);
  }
}

/** No piece is trimmed or lengthened by a larger share of its group's shortest length. */
const MOST_TRIMMED = 0.25;

/** The offset that undoes what the group's cuts are too long by on average, mm: the error of a stop is gone before a search begins. */
export const firstOffset = ({ trimmed }: FittingStep, errors: Float64Array): number =>
  -trimmed.reduce((sum, place) => sum + at(errors, place), 0) / trimmed.length;

/** How far from there a search may go, mm. */
export const furthestTrim = ({ pieces }: Cell, { group }: FittingStep): number =>
  MOST_TRIMMED * Math.min(...group.pieces.map((body) => at(pieces, body).length));

/** Deepest press of a group's joints, mm, ≥ 0. */
export const deepestPress = (gap: Float64Array, { probes }: FittingStep): number =>
  probes.reduce((worst, probe) => Math.max(worst, -at(gap, probe)), 0);

/** Mean signed gap of a group's joints, mm. */
export const meanGap = (gap: Float64Array, { probes }: FittingStep): number =>
  probes.reduce((sum, probe) => sum + at(gap, probe), 0) / probes.length;

/** How a group answers to its offset in the nominal cell, first order: without other errors, press and opening are in proportion to it. */
export function nominalTrim(step: FittingStep, pressRatio: number): NominalTrim {
  const gapsAt = (offset: number): Float64Array => {
    const errors = noErrors(step.model.cell);
    for (const place of step.trimmedHere) errors[place] = offset;
    return solveEquilibrium(step.model, errors, { order: "first", pressRatio }).rest.gap;
  };
  return { press: deepestPress(gapsAt(1), step), opening: meanGap(gapsAt(-1), step) };
}
