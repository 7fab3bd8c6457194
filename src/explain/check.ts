import type { Reading } from "../readings/reading.js";

/** A reading that could be taken next: on a fresh trial piece, of a piece in the hand, or once more in the same cell; of a joint that a leaning ramp may cut, also at one side. */
export type Check = Pick<Reading, "setUp" | "bench" | "what" | "subject" | "at" | "side" | "instrument">;

/** What a check would show under a hypothesis: 5 %, 50 % and 95 % points of the reading, mm or rad. */
export type Foreseen = readonly [low: number, middle: number, high: number];

/** A check weighed between two hypotheses. */
export interface WeighedCheck {
  readonly check: Check;
  /** Expected information about which of the two it is, were they equally likely: 0 to 1 bit. */
  readonly bits: number;
  readonly foreseen: readonly [first: Foreseen, second: Foreseen];
}
