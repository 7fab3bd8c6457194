import { medianAbsoluteDeviation } from "simple-statistics";
import type { SourceFit } from "./fit-sources.js";
import { likelihoodOf, maximiseLikelihood } from "./maximise-likelihood.js";
import type { ResidualRow } from "./residuals.js";
import { simulateTrials } from "./simulate-trials.js";

/** Whether the readings look like what the fitted model would give. */
export interface FitVerdict {
  readonly verdict: "fits" | "doubtful" | "does not fit";
  readonly sentence: string;
  /** Share of data sets simulated from the fit, and fitted again, that fit no better: small when the readings scatter more than the job says. */
  readonly probability: number;
  readonly simulated: number;
  /** Robust spread of the residuals (1.4826 × median absolute deviation): about 1 for values, less where most readings only say "closed". */
  readonly residualSpread: number;
  readonly outliers: readonly string[];
}

const SIMULATED = 39;
/** With 39 data sets the least probability is 1/40; below this the fit is doubted. */
const DOUBTFUL = 0.06;
/** Worse than every simulated data set by this share of their range. */
const FAR_BEYOND = 0.5;
const MAD_TO_SIGMA = 1.4826;

/**
 * Goodness of fit by parametric bootstrap: data sets are drawn from the fitted model, cut-to-cut errors and instruments included, each is fitted again, and their
 * losses are compared with that of the readings. (A χ² test would not hold: censored readings have no χ² residual.)
 */
export function judgeFit(
  fit: SourceFit,
  residuals: readonly ResidualRow[],
  seed: number,
  simulated: number = SIMULATED,
): FitVerdict {
  const { job, readings } = fit.likelihood;
  const { sources } = fit;
  // Where a sign is not told the mean is where no shop can be; the most probable values are where one may.
  const truth = sources.some(({ sides }) => sides) ? fit.best.estimates : fit.estimates;
  const ours = fit.best.minimum.terms.value;
  const losses = Array.from({ length: simulated }, (_, s) => {
    const replica = simulateTrials(job, readings, { truth, seed, substream: 100 + s });
    return maximiseLikelihood(likelihoodOf(job, sources, replica), truth).minimum.terms.value;
  });
  const probability = (losses.filter((loss) => loss >= ours).length + 1) / (simulated + 1);
  const [least, most] = [Math.min(...losses), Math.max(...losses)];
  const beyond = ours > most + FAR_BEYOND * (most - least);
  const verdict = beyond ? "does not fit" : probability < DOUBTFUL ? "doubtful" : "fits";
  const outliers = residuals.filter(({ outlier }) => outlier).map(({ reading }) => reading.id);
  return {
    ...{ verdict, probability, simulated, outliers },
    residualSpread: MAD_TO_SIGMA * medianAbsoluteDeviation(residuals.map(({ residual }) => residual)),
    sentence: sentenceOf(verdict, outliers),
  };
}

function sentenceOf(verdict: FitVerdict["verdict"], outliers: readonly string[]): string {
  const named = outliers.length > 0 ? ` Look again at ${outliers.join(", ")}.` : "";
  if (verdict === "fits") return `The readings scatter as the job says they should.${named}`;
  const more = verdict === "doubtful" ? "somewhat more" : "clearly more";
  return `The readings scatter ${more} than the job says: a misread value, a wrong unit, or more scatter from cut to cut than stated.${named}`;
}
