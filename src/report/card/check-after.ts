import type { Calibration } from "../../calibrate/calibrate-job.js";
import type { Advice } from "../../calibrate/decide-moves.js";
import { errorsFrom } from "../../calibrate/group-readings.js";
import { readSpecimen } from "../../calibrate/read-specimen.js";
import { cellSpecimen, type Specimen } from "../../calibrate/specimen.js";
import { formatWithUncertainty, type ResultUnit } from "../../quantity/index.js";
import type { Reading } from "../../readings/reading.js";
import { COVERAGE } from "../text/shop-numbers.js";

/** The reading of one new piece that would confirm a move, with the expanded uncertainty of that reading: sources, re-setting and cut-to-cut scatter together. */
export function checkAfter(calibration: Calibration, { adjuster, setting }: Advice): string {
  const { job, fit } = calibration;
  const source = fit.sources[adjuster.source]!;
  const u = Math.hypot(source.now.standardUncertainty, adjuster.resetScatter);
  if (source.angular) {
    const jig = job.jigs.find(({ name }) => name === source.of)!;
    const angle = jig.ramp + source.now.estimate + setting.change;
    const text = expanded(angle, Math.hypot(u, job.scatter.angle), "deg");
    return `Cut a new trial piece; an angle gauge should read ${text}.`;
  }
  const specimen = cellSpecimen(job);
  const groups = job.setUps.find(({ name }) => name === source.of)?.cuts ?? [];
  const piece = specimen.cell.pieces.find(({ cuts }) => cuts.some(({ group }) => groups.includes(group)));
  if (!piece) return "";
  const { value, deviation } = lengthAfter(calibration, specimen, piece.name);
  return `Cut a new ${piece.kind}; tip to tip it should measure ${expanded(value, deviation, job.units)}.`;
}

/** `84.869 mm ± 0.049 mm`, U = 2·u: the card says so once for all. */
function expanded(expected: number, u: number, unit: ResultUnit): string {
  const { value, uncertainty, mark } = formatWithUncertainty(expected, COVERAGE.factor * u, { unit });
  return `${value}${mark} ± ${uncertainty}${mark}`;
}

function lengthAfter(
  { job, fit, decision }: Calibration,
  specimen: Specimen,
  piece: string,
): { value: number; deviation: number } {
  const moved = fit.estimates.map((estimate, c) => estimate + decision.moves.change[c]!);
  const reading = { what: "length", subject: piece, bench: "none", setUp: null } as Reading;
  const [expected] = readSpecimen(specimen.cell, errorsFrom(specimen, moved), [reading], job);
  const { value, slopes } = expected!;
  const p = moved.length;
  const bySource = Float64Array.from(moved, (_, c) =>
    slopes.reduce((sum, slope, e) => sum + slope * specimen.matrix[e * p + c]!, 0),
  );
  let variance = slopes.reduce((sum, slope, e) => sum + (slope * specimen.scatter[e]!) ** 2, 0);
  for (let a = 0; a < p; a++) {
    variance += (bySource[a]! * decision.moves.scatter[a]!) ** 2;
    for (let b = 0; b < p; b++) variance += bySource[a]! * bySource[b]! * fit.covariance[a * p + b]!;
  }
  return { value, deviation: Math.sqrt(variance) };
}
