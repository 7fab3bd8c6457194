import type { ResultUnit } from "../../core/quantity/index.js";
import type { Calibration } from "../../inference/calibrate-job.js";
import type { SourceEstimate } from "../../inference/estimates/fit-sources.js";
import type { Cell } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { CellPrediction, ProbeGap } from "../../physics/predict/predict-cell.js";
import type { Sensitivity } from "../../physics/sensitivity/sensitivity.js";
import { htmlTable, tied } from "../../render/html.js";
import type { Html } from "../../render/notebook/display.js";
import { endText, pieceRows, sidedError, stopRows, subjectText } from "../../render/shared-text.js";
import { COVERAGE } from "../../render/shop-numbers.js";
import { type Column, type Figure, resultTable, textTable } from "../../render/text.js";
import { notDetermined, readText, tiedPairs } from "./calibration-text.js";

const smallUnit = ({ units }: Pick<Job, "units">): ResultUnit => (units === "mm" ? "mm" : "thou");

/** The readings as they were taken, in the job's units. */
export function readingsTable(job: Job, readings: readonly Reading[]): Html {
  const rows = readings.map((reading) => [
    reading.id,
    reading.trial,
    reading.bench === "none" ? "in the hand" : reading.bench,
    subjectText(reading),
    `${reading.what}${reading.at ? ` at ${endText(reading)}` : ""}`,
    readText({ reading }, job),
    reading.instrument,
  ]);
  const heading = ["id", "trial", "bench", "joint, cut or piece", "what", "read", "with"];
  return plainTable(heading, rows, [5]);
}

/** Every error source with its estimate, its interval, and what the readings alone would say. */
export function sourcesTable({ job, fit }: Calibration): Html {
  const unitOf = ({ angular }: SourceEstimate): ResultUnit => (angular ? "deg" : smallUnit(job));
  const expanded = (source: SourceEstimate, value: number, u: number): Figure => ({
    ...{ value, unit: unitOf(source), U: COVERAGE.factor * u, signed: true },
  });
  return resultTable(fit.sources, [
    { heading: "error source", cell: ({ name }) => name },
    {
      heading: "estimate ± U",
      cell: (source) =>
        sidedError({ ...source, now: source }, job) ??
        expanded(source, source.estimate, source.standardUncertainty),
    },
    {
      heading: "95 % interval",
      cell: (source) => ({
        ...{ value: source.interval[0], to: source.interval[1], unit: unitOf(source), signed: true },
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

/** A second opinion on every interval: by profile likelihood about the most probable values. */
export function profilesTable({ job, fit, profiles }: Calibration): Html {
  const unitOf = ({ angular }: SourceEstimate): ResultUnit => (angular ? "deg" : smallUnit(job));
  const between = (source: SourceEstimate, [value, to]: readonly [number, number]) => ({
    ...{ value, to, unit: unitOf(source), signed: true },
  });
  return resultTable(fit.sources, [
    { heading: "error source", cell: ({ name }) => name },
    { heading: "95 % interval", cell: (source) => between(source, source.interval) },
    {
      heading: "by profile likelihood",
      cell: (source) => between(source, profiles[fit.sources.indexOf(source)]!),
    },
  ]);
}

/** Sources that the readings tie together, with how far both may be off at once; a sentence where there are none. */
export function pairsTable(calibration: Calibration): Html | string {
  const rows = tiedPairs(calibration).map(({ names, correlation, far, near }) => [
    names,
    correlation,
    far,
    near,
  ]);
  if (rows.length === 0) return "No two errors are tied together.";
  return plainTable(["pair", "correlation", "95 % for both at once", "and"], rows, [1]);
}

/** What to do with each adjuster, and why. */
export function adviceTable({ decision, fit }: Calibration): Html {
  return resultTable(decision.advice, [
    { heading: "jig or stop", cell: ({ adjuster }) => fit.sources[adjuster.source]!.name },
    { heading: "verdict", cell: ({ verdict }) => verdict },
    { heading: "why", cell: ({ reason }) => reason },
  ]);
}

/** The pieces of a cell at nominal size, and what the stops are set for. */
export function piecesTable(job: Pick<Job, "units">, cell: Cell): Html {
  return plainTable(["piece", "how many", "tip to tip"], pieceRows(cell, job.units), [1, 2]);
}

/** The cuts of a cell, each with its jig's angle and its stop, in the job's units. */
export function stopsTable(job: Pick<Job, "units">, cell: Cell): Html {
  return plainTable(["cut", "jig angle", "stop"], stopRows(cell, job.units), [1, 2]);
}

function plainTable(heading: string[], rows: string[][], right: number[]): Html {
  return { html: htmlTable(heading, rows, right), text: textTable(heading, rows, right) };
}

/** The joints of a cell that stand furthest from closed, widest first, in mm or thou as the job's units have it; at most `most` ends of joints. */
export function gapsTable(job: Pick<Job, "units">, { probes }: CellPrediction, most = 10): Html {
  const rows = [...probes].sort((a, b) => Math.abs(b.gap) - Math.abs(a.gap)).slice(0, most);
  const sided = rows.some(({ side }) => side !== undefined);
  return resultTable(rows, [
    { heading: "joint", cell: ({ joint }) => joint.replace("|", " | ") },
    { heading: "end", cell: ({ at }) => at },
    ...(sided ? [{ heading: "side", cell: ({ side }: ProbeGap) => side ?? "" }] : []),
    { heading: "gap", cell: ({ gap }) => ({ value: gap, unit: smallUnit(job), signed: true }) },
  ]);
}

/** One degree of what turns, a tenth of a mm (4 thou) of what shifts: the sizes that errors are compared at. */
export const ERROR_SIZES = {
  rad: { size: Math.PI / 180, name: "1°" },
  mm: { size: 0.1, name: "0.1 mm" },
  in: { size: 0.004 * 25.4, name: "4 thou" },
} as const;

/** What every kind of error does to a cell, by its size in {@link ERROR_SIZES}. */
export function sensitivitiesTable(job: Pick<Job, "units">, rows: readonly Sensitivity[]): Html {
  const sizeOf = ({ source }: Sensitivity) => ERROR_SIZES[source.unit === "rad" ? "rad" : job.units];
  const unit = smallUnit(job);
  const columns: Column<Sensitivity>[] = [
    { heading: "error", cell: (row) => tied(`${row.source.name}, ${sizeOf(row).name} ${row.word}`) },
    { heading: "worst gap", cell: (row) => ({ value: row.worstGap * sizeOf(row).size, unit }) },
    { heading: "worst press", cell: (row) => ({ value: row.worstPress * sizeOf(row).size, unit }) },
    {
      heading: "widest",
      cell: ({ widest }) => (widest ? `${widest.joint.replace("|", " | ")}, ${widest.at}` : null),
    },
  ];
  return resultTable(rows, columns);
}
