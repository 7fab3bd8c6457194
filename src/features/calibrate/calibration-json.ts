import type { Calibration, CellForecast } from "../../inference/calibrate-job.js";
import type { SourceEstimate } from "../../inference/estimates/fit-sources.js";
import { inUnitsOf } from "../../inference/estimates/identifiability.js";
import { pairRegions } from "../../inference/estimates/intervals.js";

const DEGREE = Math.PI / 180;

/** A calibration as plain data for other programs: lengths in mm, angles in degrees. */
export function calibrationJson(calibration: Calibration): object {
  const { fit, profiles, decision, verdict, residuals, before, after } = calibration;
  const p = fit.sources.length;
  const unitOf = ({ angular }: SourceEstimate): number => (angular ? DEGREE : 1);
  const sources = fit.sources.map((source, i) => {
    const unit = unitOf(source);
    const { withoutPrior: alone } = source;
    return {
      name: source.name,
      unit: source.angular ? "deg" : "mm",
      estimate: source.estimate / unit,
      standardUncertainty: source.standardUncertainty / unit,
      interval95: source.interval.map((end) => end / unit),
      profile95: profiles[i]!.map((end) => end / unit),
      likeliest: source.likeliest / unit,
      priorSd: source.priorSd / unit,
      now: {
        estimate: source.now.estimate / unit,
        standardUncertainty: source.now.standardUncertainty / unit,
      },
      sides: source.sides && inUnitsOf(source.sides, 1 / unit),
      learned: source.learned,
      fromData: source.fromData,
      withoutPrior: alone && {
        estimate: alone.estimate / unit,
        standardUncertainty: alone.standardUncertainty / unit,
      },
    };
  });
  const correlations = fit.sources.map((_, i) =>
    fit.sources.map((__, j) => {
      const variance = (k: number): number => fit.covariance[k * p + k]!;
      return fit.covariance[i * p + j]! / Math.sqrt(variance(i) * variance(j));
    }),
  );
  return {
    sources,
    correlations,
    effectiveDraws: fit.effectiveDraws,
    unseparated: fit.unseparated,
    pairs: pairRegions(fit).map(({ pair, correlation, axes, holds }) => ({
      sources: pair.map((i) => fit.sources[i]!.name),
      correlation,
      halfAxes: axes.map((axis) =>
        axis.map((length, k) => {
          const source = fit.sources[pair[k]!]!;
          return (length * source.standardUncertainty) / unitOf(source);
        }),
      ),
      holds,
    })),
    fit: verdict,
    residuals: residuals.map(({ reading, expected, interval, residual, outlier }) => {
      const unit = reading.what === "angle" ? DEGREE : 1;
      return {
        ...{
          id: reading.id,
          what: reading.what,
          unit: reading.what === "angle" ? "deg" : "mm",
          residual,
          outlier,
        },
        expected: expected / unit,
        interval95: interval.map((end) => end / unit),
      };
    }),
    moves: decision.advice.map(
      ({ adjuster, verdict: advice, setting, wanted, standardUncertainty, gain, trialWorth, reason }) => {
        const unit = adjuster.kind === "shim" ? DEGREE : 1;
        return {
          ...{
            adjuster: adjuster.name,
            kind: adjuster.kind,
            verdict: advice,
            leaves: setting.leaves,
            steps: setting.steps,
          },
          unit: adjuster.kind === "shim" ? "deg" : "mm",
          change: setting.change / unit,
          wanted: wanted / unit,
          standardUncertainty: standardUncertainty / unit,
          ...{ gain, trialWorth, reason },
        };
      },
    ),
    before: forecastJson(before),
    after: forecastJson(after),
  };
}

function forecastJson({
  gap,
  press,
  closes,
  closesUncertainty,
  orderDifference,
  worstGap,
}: CellForecast): object {
  return {
    ...{ closes, closesUncertainty, orderDifference, cells: worstGap.length },
    worstGap: { median: gap.median, interval95: gap.interval },
    worstPress: { median: press.median, interval95: press.interval },
  };
}
