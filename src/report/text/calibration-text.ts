import type { Calibration } from "../../calibrate/calibrate-job.js";
import type { SourceEstimate } from "../../calibrate/fit-sources.js";
import { pairRegions } from "../../calibrate/pair-regions.js";
import type { ResidualRow } from "../../calibrate/residuals.js";
import type { Job } from "../../job/job.js";
import { unseparatedText } from "../card/set-up-card.js";
import { angleText, errorText, pieceLength, smallLength } from "./shop-numbers.js";
import { endText } from "./subject-text.js";
import { textTable, wrapped } from "./text-table.js";
import { sidedError, untoldSignTexts } from "./two-sided-text.js";

/**
 * What a calibration found, for reading: every source, what is tied to what, and the readings that sit worst.
 *
 * @param separating sentences on the readings that would tell what these do not.
 */
export function calibrationText(calibration: Calibration, separating: readonly string[] = []): string {
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
    ...regionLines(calibration),
    ...untoldSignTexts(fit.sources, job).map((text) => wrapped(text)),
    ...fit.unseparated.map((left) => wrapped(unseparatedText(left))),
    ...separating.map((line) => wrapped(line)),
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
function sourceRows({ job, fit }: Calibration): string[][] {
  return fit.sources.map((source) => [
    source.name,
    sidedError({ ...source, now: source }, job) ??
      written(source.estimate, source.standardUncertainty, source, job),
    intervalText(source, job),
    source.withoutPrior === null
      ? notDetermined(source)
      : written(source.withoutPrior.estimate, source.withoutPrior.standardUncertainty, source, job),
    `${Math.round(100 * source.learned)} %`,
  ]);
}

/** Instead of what the readings alone would say. */
export const notDetermined = ({ sides }: SourceEstimate): string =>
  sides ? "sign not told" : "not determined";

const kindOf = ({ angular }: SourceEstimate): "angle" | "length" => (angular ? "angle" : "length");

const written = (value: number, u: number, source: SourceEstimate, job: Job): string =>
  errorText(value, u, kindOf(source), job.units);

function intervalText(source: SourceEstimate, { units }: Job): string {
  const text = (value: number): string =>
    kindOf(source) === "angle" ? angleText(value) : smallLength(value, units);
  return `${text(source.interval[0])} to ${text(source.interval[1])}`;
}

/** Pairs that are tied together, and the joint region of each. */
function regionLines(calibration: Calibration): string[] {
  const lines = tiedPairs(calibration).map(
    ({ names, correlation, far, near }) => `${names} (correlation ${correlation}): ${far}, ${near}.`,
  );
  return lines.length === 0 ? [] : [wrapped(`Tied together, with 95 % for both at once: ${lines.join(" ")}`)];
}

/** Each pair of sources that are tied together, and how far both may be off at once, in words. */
export function tiedPairs({
  fit,
  job,
}: Calibration): { names: string; correlation: string; far: string; near: string }[] {
  return pairRegions(fit).map(({ pair, correlation, axes }) => {
    const both = pair.map((i) => fit.sources[i]!);
    const size = (axis: readonly [number, number]): string =>
      both
        .map((source, k) => errorSize(Math.abs(axis[k]!) * source.standardUncertainty, source, job))
        .join(" and ");
    const [long, short] =
      correlation < 0 ? ["opposite ways", "the same way"] : ["the same way", "opposite ways"];
    return {
      names: both.map(({ name }) => name).join(" and "),
      correlation: correlation.toFixed(2).replace("-", "−"),
      far: `off ${long} by up to ${size(axes[0])}`,
      near: `${short} by up to ${size(axes[1])}`,
    };
  });
}

const errorSize = (value: number, source: SourceEstimate, { units }: Job): string =>
  kindOf(source) === "angle" ? angleText(value) : smallLength(value, units);

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
