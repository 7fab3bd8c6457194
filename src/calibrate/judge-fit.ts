import { medianAbsoluteDeviation } from "simple-statistics";
import { minimiseTerms, type Terms } from "../numeric/minimise-terms.js";
import { createStream, type RandomStream } from "../numeric/random-stream.js";
import type { Instrument } from "../readings/instrument.js";
import type { Reading } from "../readings/reading.js";
import { readingLoss } from "../readings/reading-loss.js";
import type { SourceFit } from "./fit-sources.js";
import { residualsOf } from "./residuals.js";
import { asRead } from "./simulate-trials.js";

/** Whether the readings look like what the fitted model would give. */
export interface FitVerdict {
  readonly verdict: "fits" | "doubtful" | "does not fit";
  readonly sentence: string;
  /** Share of simulated data sets that fit no better: small when the readings scatter more than the job says. */
  readonly probability: number;
  readonly simulated: number;
  /** Robust spread of the standardised residuals (1.4826 × median absolute deviation): about 1, less where most readings only say "closed". */
  readonly residualSpread: number;
  readonly outliers: readonly string[];
}

const SIMULATED = 199;
const DOUBTFUL = 0.05;
const NOT_FITTING = 0.01;
const MAD_TO_SIGMA = 1.4826;

/**
 * Goodness of fit by parametric bootstrap: data sets are drawn from the fitted model, each is fitted again with the predictions linear about the estimates,
 * and their losses are compared with that of the readings. (A χ² test would not hold: censored readings have no χ² residual.)
 */
export function judgeFit(fit: SourceFit, seed: number, simulated: number = SIMULATED): FitVerdict {
  const stream = createStream(seed, 7);
  let worse = 0;
  for (let s = 0; s < simulated; s++) if (refitLoss(fit, replicate(fit, stream)) >= fit.best.loss) worse++;
  const probability = (worse + 1) / (simulated + 1);
  const residuals = residualsOf(fit);
  const outliers = residuals.filter(({ outlier }) => outlier).map(({ reading }) => reading.id);
  const verdict = probability < NOT_FITTING ? "does not fit" : probability < DOUBTFUL ? "doubtful" : "fits";
  return {
    ...{ verdict, probability, simulated, outliers },
    residualSpread: MAD_TO_SIGMA * medianAbsoluteDeviation(residuals.map(({ residual }) => residual)),
    sentence: sentenceOf(verdict, outliers),
  };
}

/** Readings that the fitted model might have given, with the same instruments. */
function replicate({ likelihood, best }: SourceFit, stream: RandomStream): Reading[] {
  const instruments = new Map(likelihood.job.instruments.map((instrument) => [instrument.name, instrument]));
  const { mu, tau } = best.expectation;
  return likelihood.readings.map((reading, i) => {
    const seen = mu[i]! + tau[i]! * stream.normal();
    return { ...reading, ...readLike(reading, instruments.get(reading.instrument)!, seen) };
  });
}

/** A value stays a value; an interval becomes the one between the leaves, or without leaves the same one when it holds what is seen, else what lies beyond its end. */
function readLike(
  reading: Reading,
  instrument: Instrument,
  seen: number,
): Pick<Reading, "value" | "low" | "high"> {
  if (reading.value !== null) return { value: seen, low: null, high: null };
  if (instrument.leaves.length > 0) return asRead(instrument, seen);
  const { low, high } = reading;
  if (seen < low!) return { value: null, low: Number.NEGATIVE_INFINITY, high: low };
  if (seen > high!) return { value: null, low: high, high: Number.POSITIVE_INFINITY };
  return { value: null, low, high };
}

/** Loss of readings at their own best fit, the predictions taken as linear about the estimates and the noise as it is there. */
function refitLoss({ best, likelihood }: SourceFit, readings: readonly Reading[]): number {
  const p = likelihood.sources.length;
  const { mu, tau, jacobian } = best.expectation;
  const unit = likelihood.sources.map(({ trustedTo }) => trustedTo);
  const centre = best.estimates.map((value, c) => value / unit[c]!);
  const scaled = jacobian.map((slope, k) => slope * unit[k % p]!);
  const prior = Float64Array.from({ length: p * p }, (_, k) => (k % (p + 1) === 0 ? 1 : 0));
  const all = new Float64Array(scaled.length + prior.length);
  all.set(scaled);
  all.set(prior, scaled.length);
  const losses = (x: Float64Array) =>
    readings.map((reading, i) => {
      let at = mu[i]!;
      for (let c = 0; c < p; c++) at += scaled[i * p + c]! * (x[c]! - centre[c]!);
      return readingLoss(reading, at, tau[i]!);
    });
  const evaluate = (x: Float64Array): Terms => {
    const own = losses(x);
    const priors = Array.from(x, (z) => ({ value: (z * z) / 2, slope: z, curvature: 1 }));
    const terms = [...own, ...priors];
    return {
      value: terms.reduce((sum, { value }) => sum + value, 0),
      slope: Float64Array.from(terms, ({ slope }) => slope),
      curvature: Float64Array.from(terms, ({ curvature }) => curvature),
      jacobian: all,
    };
  };
  const { x } = minimiseTerms(evaluate, centre, { stepTolerance: 1e-6 });
  return losses(x).reduce((sum, { value }) => sum + value, 0);
}

function sentenceOf(verdict: FitVerdict["verdict"], outliers: readonly string[]): string {
  const named = outliers.length > 0 ? ` Look again at ${outliers.join(", ")}.` : "";
  if (verdict === "fits") return `The readings scatter as the job says they should.${named}`;
  const more = verdict === "doubtful" ? "somewhat more" : "clearly more";
  return `The readings scatter ${more} than the job says: a misread value, a wrong unit, or more scatter from cut to cut than stated.${named}`;
}
