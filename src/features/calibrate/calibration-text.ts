import { at } from "../../core/numeric/dense.js";
import type { Calibration } from "../../inference/calibrate-job.js";
import type { Advice } from "../../inference/decision/decide-moves.js";
import type { SourceEstimate } from "../../inference/estimates/fit-sources.js";
import type { ReadingResidual } from "../../inference/estimates/judge-fit.js";
import { pairRegions } from "../../inference/estimates/pair-regions.js";
import type { Job } from "../../model/job/job.js";
import { isAngleReading } from "../../model/readings.js";
import { fitSentence, misfitTexts } from "../../render/misfit-text.js";
import { endText, readQuantityText, sidedError, unidentifiedSignTexts } from "../../render/shared-text.js";
import { angleText, errorText, pieceLength, smallLength } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { textTable, wrapped } from "../../render/text.js";
import { unseparatedText } from "./card/set-up-card.js";

/**
 * The results of a calibration as text: every source, which sources are correlated, and the readings with the largest residuals.
 *
 * @param separating sentences about the readings that would identify what the present ones do not.
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
      "U = 2·u. “Learned” is the share of the variance you started with that the readings took away; where it is small, the estimate rests on what you stated as trusted-to.",
    ),
    wrapped(
      `${fitSentence(verdict)} Of ${verdict.simulated} simulated sets of readings, ${Math.round(100 * verdict.probability)} % fit no better.`,
    ),
    ...(verdict.misfit ? [wrapped(misfitTexts(verdict.misfit, job).join(" "))] : []),
    wrapped(scatterText(calibration)),
    ...regionLines(calibration),
    ...unidentifiedSignTexts(fit.sources, job).map((text) => wrapped(text)),
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

/** The scatters from cut to cut that the fit used, and which of them it estimated from the readings: `angle 0.06° (estimated; the job says 0.05°)`. */
function scatterText({ fit, job }: Calibration): string {
  const parts = (["angle", "length", "thickness"] as const).map((of) => {
    const { used, stated, estimated } = fit.betweenCutSd[of];
    const text = (value: number): string =>
      of === "angle" ? angleText(value) : smallLength(value, job.units);
    return `${of} ${text(used)} (${estimated ? `estimated from the readings; the job says ${text(stated)}` : "as the job says"})`;
  });
  return `Scatter from one cut to the next, standard deviations used: ${parts.join(", ")}.`;
}

/** One row for each source: name, estimate with U, interval, estimate from the readings alone, share learned. */
function sourceRows({ job, fit }: Calibration): string[][] {
  return fit.sources.map((source) => [
    sourceText(source.id),
    sidedError({ ...source, current: source }, job) ??
      written(source.estimate, source.standardUncertainty, source, job),
    intervalText(source, job),
    source.withoutPrior === null
      ? notDetermined(source)
      : written(source.withoutPrior.estimate, source.withoutPrior.standardUncertainty, source, job),
    `${Math.round(100 * source.learned)} %`,
  ]);
}

/** Text in place of an estimate from the readings alone. */
export const notDetermined = ({ sides }: SourceEstimate): string =>
  sides ? "sign not known" : "not determined";

const kindOf = ({ angular }: SourceEstimate): "angle" | "length" => (angular ? "angle" : "length");

const written = (value: number, u: number, source: SourceEstimate, job: Job): string =>
  errorText(value, u, kindOf(source), job.units);

function intervalText(source: SourceEstimate, { units }: Job): string {
  const text = (value: number): string =>
    kindOf(source) === "angle" ? angleText(value) : smallLength(value, units);
  return `${text(source.interval[0])} to ${text(source.interval[1])}`;
}

/** Correlated pairs, and the joint region of each. */
function regionLines(calibration: Calibration): string[] {
  const lines = tiedPairs(calibration).map(
    ({ names, correlation, far, near }) => `${names} (correlation ${correlation}): ${far}, ${near}.`,
  );
  return lines.length === 0 ? [] : [wrapped(`Tied together (95 % for both at once): ${lines.join(" ")}`)];
}

/** Each pair of correlated sources, and how far both may be off at once, in words. */
export function tiedPairs({
  fit,
  job,
}: Calibration): { names: string; correlation: string; far: string; near: string }[] {
  return pairRegions(fit).map(({ pair, correlation, axes }) => {
    const both = pair.map((i) => at(fit.sources, i));
    const size = (axis: readonly [number, number]): string =>
      both
        .map((source, k) => errorSize(Math.abs(at(axis, k)) * source.standardUncertainty, source, job))
        .join(" and ");
    const [long, short] =
      correlation < 0 ? ["opposite ways", "the same way"] : ["the same way", "opposite ways"];
    return {
      names: both.map(({ id }) => sourceText(id)).join(" and "),
      correlation: correlation.toFixed(2).replace("-", "−"),
      far: `off ${long} by up to ${size(axes[0])}`,
      near: `${short} by up to ${size(axes[1])}`,
    };
  });
}

const errorSize = (value: number, source: SourceEstimate, { units }: Job): string =>
  kindOf(source) === "angle" ? angleText(value) : smallLength(value, units);

/** A reading as it was taken, in the job's units. */
export function readingText({ reading }: Pick<ReadingResidual, "reading">, { units }: Job): string {
  const text = (value: number): string => {
    if (isAngleReading(reading.what)) return angleText(value);
    return reading.what === "gap" ? smallLength(value, units) : pieceLength(value, units);
  };
  if (reading.value !== null) return text(reading.value);
  if (reading.low === Number.NEGATIVE_INFINITY) return `under ${text(reading.high!)}`;
  if (reading.high === Number.POSITIVE_INFINITY) return `over ${text(reading.low!)}`;
  const low = text(reading.low!);
  const high = text(reading.high!);
  // The unit is written once if it is the same for both ends.
  return `${/^[\d.]+ (?:mm|thou)$/.test(low) ? low.replace(/ \D+$/, "") : low} to ${high}`;
}

function residualRow(row: ReadingResidual, job: Job): string[] {
  const { reading, expected, residual } = row;
  const what = `${readQuantityText(reading.what)}${reading.at ? ` at ${endText(reading)}` : ""}, ${reading.bench === "none" ? "measured alone" : reading.bench}`;
  const shown = { ...reading, value: expected, low: null, high: null };
  return [
    reading.id,
    what,
    readingText(row, job),
    readingText({ reading: shown }, job),
    residual.toFixed(1).replace("-", "−"),
  ];
}

/** What to write into the job once the moves are made, so that old and new readings can be used together; empty if nothing is moved. */
export function nextRoundText({ job, decision }: Calibration): string {
  const made = decision.advice.filter(({ verdict }) => verdict === "adjust");
  if (made.length === 0) return "";
  const groups = [
    ["ramps", made.filter(({ adjuster }) => adjuster.kind === "shim")],
    ["stops", made.filter(({ adjuster }) => adjuster.kind === "stop")],
  ] as const;
  const name = nameOfNext(job);
  const lines = groups.flatMap(([group, moves]) =>
    moves.length === 0 ? [] : [`    ${group}: { ${moves.map((move) => moveText(move, job)).join(", ")} }`],
  );
  return [
    "\nWHEN THE MOVES ARE MADE",
    wrapped(
      job.rounds.length === 0
        ? `Add these lines to job.yaml. In trials.csv, write “${name}” in the column round of every reading taken after the moves.`
        : `Add these lines to rounds in job.yaml. In trials.csv, write “${name}” in the column round of every reading taken after the moves.`,
      96,
      "  ",
    ),
    ...(job.rounds.length === 0 ? ["rounds:"] : []),
    `  ${name}:`,
    ...lines,
    "",
  ].join("\n");
}

const NAMES = ["second", "third", "fourth", "fifth"];

function nameOfNext({ rounds }: Job): string {
  const used = rounds.map(({ name }) => name);
  return (
    NAMES.slice(rounds.length).find((name) => !used.includes(name)) ?? `after-${used.at(-1) ?? "the-first"}`
  );
}

/** A stop's move in the job's units, or the total thickness of a shim's leaves; shorter and shallower are negative. */
function moveText({ adjuster, setting }: Advice, { units }: Job): string {
  const length = (mm: number): string => `${trimmed(units === "mm" ? mm : mm / INCH)} ${units}`;
  if (adjuster.kind === "stop") return `${adjuster.name}: { by: ${length(setting.change)} }`;
  const stack = setting.leaves.reduce((sum, leaf) => sum + leaf, 0);
  return `${adjuster.name}: { shim: ${length(Math.sign(setting.change) * stack)} }`;
}

const INCH = 25.4;
const trimmed = (value: number): number => Number(value.toFixed(4));
