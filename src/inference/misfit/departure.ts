import type { SourceId } from "../../model/source-id.js";
import { SCATTERS } from "../posterior/block-density.js";

/** All kinds of reasons. */
export const MISFIT_KINDS = [
  "gauge bias",
  "mixed stock",
  "drift",
  "swapped joint",
  "odd trial",
  "larger scatter",
] as const satisfies readonly MisfitKind[];

/** Why readings may differ from what the model predicts; each kind is one small extension of the model. */
export type MisfitKind =
  | "gauge bias"
  | "mixed stock"
  | "drift"
  | "swapped joint"
  | "odd trial"
  | "larger scatter";

/** What scatters more than stated: all errors of the cuts, one kind of them, or the readings of an instrument. */
export type ScatterSubject = "all" | "angle" | "length" | "thickness" | { readonly instrument: string };

/** A reason with its subject; a larger scatter also has the factor, a ratio, by which it is larger than stated. */
export type MisfitReason =
  /** The instrument always reads too much or too little by the same amount. */
  | { readonly kind: "gauge bias"; readonly instrument: string; readonly angular: boolean }
  /** Two batches of stock: the trials (or their pieces) listed come from the other batch. */
  | { readonly kind: "mixed stock"; readonly trials: readonly string[] }
  /** Sources that drift with the order of cutting. */
  | { readonly kind: "drift"; readonly sources: readonly SourceId[] }
  /** Ids of the readings that were exchanged, pair by pair. */
  | { readonly kind: "swapped joint"; readonly pairs: readonly (readonly [string, string])[] }
  | { readonly kind: "odd trial"; readonly trial: string }
  | {
      readonly kind: "larger scatter";
      readonly of: ScatterSubject;
      /** Ratio of the scatter to the stated one. */
      readonly factor: number;
    };

/** One more unknown of an extended model: normal about 0, standard deviation `sd` (mm or rad). */
export type ExtraUnknown = { readonly sd: number } & (
  | { readonly kind: "bias"; readonly instrument: string }
  /** A change of thickness, given by the change of each (standardised) cut-to-cut error of each trial per mm; 0 for errors that are not thicknesses. */
  | { readonly kind: "thickness"; readonly weights: readonly Float64Array[] }
  /** A change of the sources with these indices, by this share in each trial. */
  | { readonly kind: "drift"; readonly sources: readonly number[]; readonly shares: Float64Array }
);

/** An extension of the model, as data: what it adds and changes. */
export interface Departure {
  readonly reason: MisfitReason;
  /** Share of its kind's prior probability that this variety has, 0 to 1. */
  readonly share: number;
  readonly unknowns: readonly ExtraUnknown[];
  /** Indices of the readings that are exchanged. */
  readonly swaps: readonly (readonly [number, number])[];
  /** Index of the trial whose cut-to-cut errors are larger, and the factor. */
  readonly odd: { readonly block: number; readonly factor: number } | null;
  /** Factors by which the job's statement of each of `SCATTERS` is too small. */
  readonly scatters: readonly number[];
  /** The instrument whose repeatability is worse than stated, and the factor. */
  readonly noise: { readonly instrument: string; readonly factor: number } | null;
}

/** No scatter is larger than stated. */
export const AS_STATED: readonly number[] = SCATTERS.map(() => 1);

/** The model as it stands, as an extension that adds nothing. */
export const NO_DEPARTURE: Omit<Departure, "reason" | "share"> = {
  unknowns: [],
  swaps: [],
  odd: null,
  scatters: AS_STATED,
  noise: null,
};

/**
 * Prior standard deviations of the extensions' unknowns, rad and mm: the bias of an instrument, the difference between two batches of stock, the change of a source from the
 * first piece to the last. Factors: ratios of an odd trial's errors and of a larger scatter to the stated ones, each value with the same prior probability. Our own choice, no source.
 */
export const MISFIT_PRIORS = {
  bias: { angle: (0.3 * Math.PI) / 180, length: 0.04 },
  stock: 0.12,
  drift: { angle: (0.3 * Math.PI) / 180, length: 0.1 },
  oddFactors: [4, 15],
  scatterFactors: [2, 4],
} as const;
