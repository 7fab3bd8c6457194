import { householderQr, solveTriangle } from "../numeric/householder-qr.js";
import { instrumentVariance } from "../readings/reading-loss.js";
import type { Adjuster, Setting } from "./adjusters.js";
import type { Forecast } from "./cell-forecast.js";
import { meanOf } from "./cell-loss.js";
import type { SourceFit } from "./fit-sources.js";

export interface WorthProblem {
  readonly forecast: Forecast;
  readonly fit: SourceFit;
  readonly adjusters: readonly Adjuster[];
  readonly choice: readonly Setting[];
  /** Loss of each drawn cell under a choice of settings, over the batch. */
  readonly lossesOf: (choice: readonly Setting[]) => Float64Array;
}

/** Settings are compared within this many standard uncertainties of the move that would undo the estimate, at most this many of them. */
const REACH = 2.5;
const MOST_SETTINGS = 6;

/**
 * What one more trial on the source of adjuster k is worth, in scrapped pieces over the batch: how much lower the expected loss is when the setting is
 * chosen after the trial instead of now. For each other setting the difference of loss is regressed on the source (a quadratic: the conditional mean that
 * a partial expected value of information needs), and the trial's posterior mean has the spread that one more trial like the others would give it.
 */
export function worthOfTrial(problem: WorthProblem, k: number): number {
  const { forecast, fit, adjusters, choice, lossesOf } = problem;
  const { source } = adjusters[k]!;
  const { estimate, standardUncertainty: u } = fit.sources[source]!;
  const now = lossesOf(choice);
  const z = Float64Array.from(
    now,
    (_, d) => (forecast.sources[d * forecast.columns + source]! - estimate) / u,
  );
  const fits = rivals(adjusters[k]!, choice[k]!, fit.sources[source]!.now.estimate, u).map((setting) => {
    const losses = lossesOf(choice.with(k, setting));
    return quadraticFit(
      z,
      losses.map((loss, d) => loss - now[d]!),
    );
  });
  const share = learnedByOneTrial(fit, source);
  const root = Math.sqrt(share);
  // Knowing the posterior mean √share·z, what is left of z has variance 1 − share.
  const expected = ([a, b, c]: Float64Array, mean: number): number =>
    a! + b! * mean + c! * (mean ** 2 + 1 - share);
  const later = z.map((value) => Math.min(0, ...fits.map((f) => expected(f, root * value))));
  const today = Math.min(0, ...fits.map((f) => meanOf(z.map((value) => expected(f, root * value)))));
  return Math.max(0, today - meanOf(later));
}

/** Other settings that knowing more might favour, thinned evenly. */
function rivals({ settings }: Adjuster, chosen: Setting, estimate: number, u: number): Setting[] {
  const near = settings.filter(
    ({ change }) => change !== chosen.change && (change === 0 || Math.abs(change + estimate) <= REACH * u),
  );
  if (near.length <= MOST_SETTINGS) return near;
  return Array.from(
    { length: MOST_SETTINGS },
    (_, i) => near[Math.round((i * (near.length - 1)) / (MOST_SETTINGS - 1))]!,
  );
}

function quadraticFit(z: Float64Array, y: Float64Array): Float64Array {
  const matrix = Float64Array.from({ length: 3 * z.length }, (_, i) => z[Math.floor(i / 3)]! ** (i % 3));
  const triangle = householderQr(matrix, z.length, 3, y);
  return solveTriangle(triangle, triangle.qtb);
}

/**
 * Share of a source's variance that one more trial would take away: one like those already cut, or where the shop has an instrument that reads the
 * source directly, one cut measured with it, whichever tells more. A trial like those that told nothing is worth nothing; another kind may not be.
 */
function learnedByOneTrial(fit: SourceFit, source: number): number {
  const { standardUncertainty: u, trustedTo } = fit.sources[source]!;
  const fromData = Math.max(0, 1 / u ** 2 - 1 / trustedTo ** 2);
  const alike = fromData / Math.max(1, trialsOn(fit, source));
  const one = Math.max(alike, directInformation(fit, source));
  return one / (1 / u ** 2 + one);
}

/** Information of one cut measured with the best instrument that reads the source's own quantity; 0 where the shop has none. */
function directInformation({ sources, likelihood: { job } }: SourceFit, source: number): number {
  const { angular } = sources[source]!;
  const what = angular ? "angle" : "length";
  const scatter = angular ? job.scatter.angle : job.scatter.length;
  const each = job.instruments
    .filter(({ reads }) => reads.includes(what))
    .map((instrument) => 1 / (instrumentVariance(instrument, { value: 0 }) + scatter ** 2));
  return Math.max(0, ...each);
}

/** Trials whose readings depend on a source. */
function trialsOn({ best, likelihood }: SourceFit, source: number): number {
  const p = likelihood.sources.length;
  return best.modes.filter(({ expectation }) =>
    expectation.bySource.some((slope, k) => k % p === source && Math.abs(slope) > 1e-6),
  ).length;
}
