/** What a value on a tape is made by. `less` and `atMost` compare, and their results are tests, not numbers. */
export type Op =
  | "constant"
  | "load"
  | "add"
  | "subtract"
  | "multiply"
  | "divide"
  | "negate"
  | "absolute"
  | "larger"
  | "pick"
  | "less"
  | "atMost"
  | "both"
  | "either"
  | "differ";

/** One step of a recorded calculation: an operation on earlier ones. */
export interface Entry<Kind extends "number" | "test" = "number" | "test"> {
  readonly kind: Kind;
  /** Its place on the tape; every entry stands behind those it is made from. */
  readonly id: number;
  readonly op: Op;
  readonly from: readonly Entry[];
  /** The number of a constant, the place in the record of a load, else 0. */
  readonly detail: number;
}

/** A number, one for each trial that a routine works on. */
export type Value = Entry<"number">;

/** Whether something holds, for each trial. */
export type Test = Entry<"test">;

/** A number written to a place of the trial's record. */
export interface Store {
  readonly place: number;
  readonly value: Value;
}

/** Straight-line arithmetic on one trial's record: no branches, no loops. */
export interface Routine {
  readonly name: string;
  readonly entries: readonly Entry[];
  readonly stores: readonly Store[];
  /** What the routine answers: one bit for each test. */
  readonly answers: readonly Test[];
}
