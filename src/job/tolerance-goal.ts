/** What the joiner wants of the cells, and what precision costs: for working tolerances backwards. */
export interface ToleranceGoal {
  /** Chance that a cell closes. */
  readonly chance: number;
  /** What each kind of source costs at the tolerance the job states now, in any unit; half the tolerance costs twice as much. */
  readonly costs: ToleranceCosts;
  /** Finest and loosest tolerance considered, as shares of what the job states now. */
  readonly finest: number;
  readonly loosest: number;
}

export interface ToleranceCosts {
  readonly ramps: number;
  readonly stops: number;
  readonly thickness: number;
  /** The walls of the grid: its laps and the thickness of its strips. */
  readonly grid: number;
  /** Each scatter from cut to cut; `null`: they stay as they are. */
  readonly cuts: number | null;
}

/** Where the job is silent. Our own, no source: every source costs 1 at today's tolerance, and cost goes as one over the tolerance. */
export const TOLERANCE_GOAL: ToleranceGoal = {
  chance: 0.9,
  costs: { ramps: 1, stops: 1, thickness: 1, grid: 1, cuts: null },
  finest: 0.05,
  loosest: 5,
};
