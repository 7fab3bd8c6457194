import type { Calibration } from "../../calibrate/calibrate-job.js";
import type { SourceEstimate } from "../../calibrate/fit-sources.js";
import type { ResidualRow } from "../../calibrate/residuals.js";
import type { Job } from "../../job/job.js";
import { angleText, errorText, pieceLength, smallLength } from "./shop-numbers.js";
import { endText } from "./subject-text.js";
import { textTable, wrapped } from "./text-table.js";

/** Correlations at least this strong are named. */
const STRONG = 0.5;

/** What a calibration found, for reading: every source, what is tied to what, and the readings that sit worst. */
export function calibrationText(calibration: Calibration): string {
  const { job, fit, residuals, verdict } = calibration;
  const worst = [...residuals].sort((a, b) => Math.abs(b.residual) - Math.abs(a.residual)).slice(0, 5);
  return [
    "WHAT THE TRIAL CUTS SAY",
    textTable(
      ["error source", "estimate ± U (95 %)", "95 % interval", "readings alone", "learned"],
      sourceRows(calibration),
      [1, 2, 3, 4],
    ),
    "",
    wrapped(
      "U = 2·u. “Learned” is the share of the variance you started with that the readings took away; where it is small, the tolerance you stated speaks.",
    ),
    wrapped(
      `${verdict.sentence} Of ${verdict.simulated} simulated sets of readings, ${Math.round(100 * verdict.probability)} % fit no better.`,
    ),
    ...correlationLines(fit.sources, fit.covariance),
    "",
    "Readings farthest from what the fit expects",
    textTable(
      ["reading", "what", "read", "expected", "standard deviations"],
      worst.map((row) => residualRow(row, job)),
      [2, 3, 4],
    ),
    "",
  ].join("\n");
}

/** One row a source: name, estimate with U, interval, readings alone, share learned. */
export function sourceRows({ job, fit }: Calibration): string[][] {
  return fit.sources.map((source) => [
    source.name,
    written(source.estimate, source.standardUncertainty, source, job),
    intervalText(source, job),
    source.withoutPrior === null
      ? "not determined"
      : written(source.withoutPrior.estimate, source.withoutPrior.standardUncertainty, source, job),
    `${Math.round(100 * source.learned)} %`,
  ]);
}

const kindOf = ({ angular }: SourceEstimate): "angle" | "length" => (angular ? "angle" : "length");

const written = (value: number, u: number, source: SourceEstimate, job: Job): string =>
  errorText(value, u, kindOf(source), job.units);

function intervalText(source: SourceEstimate, { units }: Job): string {
  const text = (value: number): string =>
    kindOf(source) === "angle" ? angleText(value) : smallLength(value, units);
  return `${text(source.interval[0])} to ${text(source.interval[1])}`;
}

function correlationLines(sources: readonly SourceEstimate[], covariance: Float64Array): string[] {
  const p = sources.length;
  const lines = sources.flatMap((a, i) =>
    sources.slice(0, i).flatMap((b, j) => {
      const r = covariance[i * p + j]! / Math.sqrt(covariance[i * p + i]! * covariance[j * p + j]!);
      return Math.abs(r) < STRONG ? [] : [`${b.name} with ${a.name}: ${r.toFixed(2).replace("-", "−")}`];
    }),
  );
  return lines.length === 0
    ? []
    : [wrapped(`Estimates that are tied together (correlation): ${lines.join("; ")}.`)];
}

/** A reading as it was taken, in the job's units. */
export function readText({ reading }: Pick<ResidualRow, "reading">, { units }: Job): string {
  const text = (value: number): string => {
    if (reading.what === "angle") return angleText(value);
    return reading.what === "gap" ? smallLength(value, units) : pieceLength(value, units);
  };
  if (reading.value !== null) return text(reading.value);
  if (reading.low === Number.NEGATIVE_INFINITY) return `under ${text(reading.high!)}`;
  if (reading.high === Number.POSITIVE_INFINITY) return `over ${text(reading.low!)}`;
  const low = text(reading.low!);
  const high = text(reading.high!);
  // One unit for both ends where it is the same word.
  return `${/^[\d.]+ (?:mm|thou)$/.test(low) ? low.replace(/ \D+$/, "") : low} to ${high}`;
}

function residualRow(row: ResidualRow, job: Job): string[] {
  const { reading, expected, residual } = row;
  const what = `${reading.what}${reading.at ? ` at ${endText(reading)}` : ""}, ${reading.bench === "none" ? "in the hand" : reading.bench}`;
  const shown = { ...reading, value: expected, low: null, high: null };
  return [
    reading.id,
    what,
    readText(row, job),
    readText({ reading: shown }, job),
    residual.toFixed(1).replace("-", "−"),
  ];
}
