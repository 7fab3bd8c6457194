import { at } from "../../core/numeric/dense.js";
import type { ResultUnit } from "../../core/quantity/index.js";
import type { Calibration } from "../../inference/calibrate-job.js";
import type { SourceEstimate } from "../../inference/estimates/fit-sources.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { HtmlOutput } from "../../render/notebook/display.js";
import { endText, readQuantityText, sidedError, subjectNamer } from "../../render/shared-text.js";
import { COVERAGE, smallUnit } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { type Figure, plainTable, resultTable } from "../../render/text.js";
import { notDetermined, readingText, tiedPairs } from "./calibration-text.js";
import { reasonText, shownVerdict } from "./card/move-sentences.js";

/**
 * The readings as they were taken, in the job's units.
 *
 * @example
 * readingsTable(job, readings).html.includes("a01") // true
 */
export function readingsTable(job: Job, readings: readonly Reading[]): HtmlOutput {
  const named = subjectNamer(job);
  const rows = readings.map((reading) => [
    reading.id,
    reading.trial,
    reading.bench === "none" ? "measured alone" : reading.bench,
    named(reading),
    `${readQuantityText(reading.what)}${reading.at ? ` at ${endText(reading)}` : ""}`,
    readingText({ reading }, job),
    reading.instrument,
  ]);
  const heading = ["id", "trial", "bench", "joint, cut or piece", "what", "read", "with"];
  return plainTable(heading, rows, [5]);
}

/**
 * Every error source with its estimate, its interval, and its estimate from the readings alone.
 *
 * @example
 * sourcesTable(calibration).html.includes("point-45") // true
 */
export function sourcesTable({ job, fit }: Calibration): HtmlOutput {
  const unitOf = ({ angular }: SourceEstimate): ResultUnit => (angular ? "deg" : smallUnit(job.units));
  const expanded = (source: SourceEstimate, value: number, u: number): Figure => ({
    value,
    unit: unitOf(source),
    U: COVERAGE.factor * u,
    signed: true,
  });
  return resultTable(fit.sources, [
    { heading: "error source", cell: ({ id }) => sourceText(id) },
    {
      heading: "estimate ± U",
      cell: (source) =>
        sidedError({ ...source, current: source }, job) ??
        expanded(source, source.estimate, source.standardUncertainty),
    },
    {
      heading: "95 % interval",
      cell: (source) => ({
        value: source.interval[0],
        to: source.interval[1],
        unit: unitOf(source),
        signed: true,
      }),
    },
    {
      heading: "readings alone",
      cell: (source) =>
        source.withoutPrior === null
          ? notDetermined(source)
          : expanded(source, source.withoutPrior.estimate, source.withoutPrior.standardUncertainty),
    },
    { heading: "learned", cell: ({ learned }) => ({ value: learned, unit: "%" }) },
  ]);
}

/** Sources that are correlated given the readings, with how far both may be off at once; a sentence if there are none. */
export function pairsTable(calibration: Calibration): HtmlOutput | string {
  const rows = tiedPairs(calibration).map(({ names, correlation, far, near }) => [
    names,
    correlation,
    far,
    near,
  ]);
  if (rows.length === 0) return "No two errors are tied together.";
  return plainTable(["pair", "correlation", "95 % for both at once", "and"], rows, [1]);
}

/**
 * What to do with each adjuster, and why.
 *
 * @example
 * adviceTable(calibration).html.startsWith("<table") // true
 */
export function adviceTable({ decision, fit, job }: Calibration): HtmlOutput {
  return resultTable(decision.advice, [
    { heading: "jig or stop", cell: ({ adjuster }) => sourceText(at(fit.sources, adjuster.source).id) },
    { heading: "verdict", cell: shownVerdict },
    { heading: "why", cell: (advice) => reasonText(advice, job, decision.hold !== null) },
  ]);
}
