import { at } from "../../../core/numeric/dense.js";
import {
  formatAngle,
  formatLength,
  formatWithUncertainty,
  type ResultUnit,
} from "../../../core/quantity/index.js";
import type { Calibration, CalibrationForecast } from "../../../inference/calibrate-job.js";
import type { Advice, MoveVerdict } from "../../../inference/decision/decide-moves.js";
import type { SourceEstimate } from "../../../inference/estimates/fit-sources.js";
import type { Unseparated } from "../../../inference/estimates/identifiability.js";
import { readSpecimen } from "../../../inference/likelihood/read-specimen.js";
import { cellSpecimen, errorsFrom, type Specimen } from "../../../inference/likelihood/specimen.js";
import { listed } from "../../../io/faults.js";
import type { Job } from "../../../model/job/job.js";
import type { Reading } from "../../../model/readings.js";
import { jigNamed, setUpNamed } from "../../../model/shop.js";
import type { SourceId } from "../../../model/source-id.js";
import { CAUTIONS } from "../../../render/cautions.js";
import {
  cellText,
  closingRule,
  fittedNote,
  sidedError,
  signWords,
  unidentifiedSignTexts,
} from "../../../render/shared-text.js";
import {
  angleText,
  COVERAGE,
  chanceText,
  errorText,
  pieceLength,
  signed,
  smallLength,
} from "../../../render/shop-numbers.js";
import { sourceText } from "../../../render/source-text.js";

// There are two cards. This file has the sentences of the one that `sukima calibrate` and `npm start` print; card-text.ts lays them out.
// The sheet of `sukima card` has its own in card-sheet.ts and sheet-lines.ts, and takes some from here; sheet-html.ts lays it out.

/** One jig or stop on the card. */
export interface CardRow {
  readonly id: SourceId;
  readonly name: string;
  /** The error now, with its expanded uncertainty. */
  readonly error: string;
  readonly means: string;
  readonly verdict: MoveVerdict | "locked" | "no adjuster";
  readonly action: string;
  readonly reason: string;
  /** Reading that would confirm the move; empty when there is none to make. */
  readonly check: string;
}

/** All that a set-up card says, as text in the shop's units. */
export interface SetUpCard {
  readonly title: string;
  readonly date: string;
  readonly cell: string;
  readonly rows: readonly CardRow[];
  readonly thickness: string;
  /** What is expected of a cell: heading, before, after. */
  readonly forecast: readonly (readonly [string, string, string])[];
  readonly fit: string;
  readonly unseparated: readonly string[];
  readonly notes: readonly string[];
  readonly cautions: readonly string[];
}

/** Whether a source has a row: what can be set right on a jig or at a stop, and not what a known move missed by. */
const onCard = ({ kind, round }: SourceId): boolean =>
  round === undefined && (kind === "ramp" || kind === "stop" || kind === "lean");

/**
 * The card of a calibration. `date` is printed as it is.
 *
 * @example
 * setUpCard(calibration, "2000-01-01").title === job.title // true
 */
export function setUpCard(calibration: Calibration, date: string): SetUpCard {
  const { job, fit, verdict, before, after, readings } = calibration;
  const trials = new Set(readings.map(({ trial }) => trial)).size;
  const thickness = fit.sources.find(({ id }) => id.kind === "thickness");
  return {
    title: job.title,
    date,
    cell: `${cellText(job)}; ${readings.length} readings of ${trials} trial pieces`,
    rows: fit.sources.flatMap((source, i) => (onCard(source.id) ? [rowOf(source, i, calibration)] : [])),
    thickness: thickness
      ? `${errorText(thickness.estimate, thickness.standardUncertainty, "length", job.units)} from ${pieceLength(job.strip, job.units)}`
      : "",
    forecast: forecastRows(before, after, job),
    fit: verdict.sentence,
    unseparated: [
      ...unidentifiedSignTexts(fit.sources, job),
      ...fit.unseparated.map(unseparatedText),
      ...contradictions(fit),
    ],
    notes: notesOf(calibration, job.costs.cells),
    cautions: CAUTIONS,
  };
}

function rowOf(source: SourceEstimate, index: number, calibration: Calibration): CardRow {
  const { job, decision } = calibration;
  const advice = decision.advice.find(({ adjuster }) => adjuster.source === index);
  const kind = source.angular ? "angle" : "length";
  const { estimate, standardUncertainty } = source.current;
  const error = sidedError(source, job) ?? errorText(estimate, standardUncertainty, kind, job.units);
  return {
    id: source.id,
    name: sourceText(source.id),
    error: source.fromData ? error : `${error} (as trusted)`,
    means: meaningOf(source, job),
    verdict: advice?.verdict ?? (source.id.kind === "lean" ? "no adjuster" : "locked"),
    action: advice ? actionOf(advice, job) : "Cannot be moved.",
    reason: advice ? [advice.reason, extraText(advice, job)].filter((text) => text !== "").join(" ") : "",
    check: advice?.verdict === "adjust" ? checkAfter(calibration, advice) : "",
  };
}

/** The sign in words, where the error is clearly not zero. */
function meaningOf(source: SourceEstimate, job: Job): string {
  const { id, current, fromData, sides } = source;
  const { kind, of } = id;
  const { estimate, standardUncertainty } = current;
  if (sides)
    return kind === "lean"
      ? "at the front or at the back: not known yet"
      : `${signWords(id).join(" or ")}: not known yet`;
  if (!fromData) return "not measured well enough to say";
  if (Math.abs(estimate) <= 2 * standardUncertainty) return "no error found";
  const words = signWords(id)[estimate > 0 ? 0 : 1];
  if (kind === "ramp") return `${words}, ${labelAngle(jigNamed(job, of).ramp)}`;
  if (kind === "lean") return `cuts stand ${words}`;
  if (kind === "stop") return `pieces come out ${words}`;
  return kind === "thickness" ? `strips are ${words}` : words;
}

function actionOf({ verdict, setting, adjuster }: Advice, job: Job): string {
  if (verdict === "measure first") return "Cut and measure one more trial piece before you move it.";
  if (verdict === "leave alone") return "Leave it as it is.";
  const { units } = job;
  const towards = setting.change > 0;
  if (adjuster.kind === "shim") {
    const leaves = setting.leaves.map((leaf) => leafText(leaf, units)).join(" + ");
    const end = towards ? "so that it cuts a sharper point" : "so that it cuts a blunter point";
    return `Put a shim of ${leaves} under the ramp ${end} (${signed(angleText(setting.change))}).`;
  }
  const steps = Math.abs(setting.steps);
  return `Move the stop ${steps} step${steps === 1 ? "" : "s"} ${towards ? "longer" : "shorter"} (${signed(smallLength(setting.change, units))}).`;
}

/** Why a move is more or less than the error the other way; empty where no setting comes nearer to that, or nothing is moved. */
export function extraText(advice: Advice, job: Job): string {
  const { adjuster, verdict, setting, wanted } = advice;
  if (verdict !== "adjust" || isNearest(advice)) return "";
  if (leavesToTrim(advice, job)) return "What is longer comes off in fitting.";
  const extra = Math.abs(setting.change) - Math.abs(wanted);
  const size = adjuster.kind === "shim" ? angleText(extra) : smallLength(extra, job.units);
  return extra > 0 && setting.change * wanted > 0
    ? `The extra ${size} makes up for errors that stay as they are.`
    : "The rest makes up for errors that stay as they are.";
}

/** Whether a stop is set longer than right for pieces that are fitted by trial. */
const leavesToTrim = ({ adjuster, setting, wanted }: Advice, { lengths }: Job): boolean =>
  lengths === "fitted" && adjuster.kind === "stop" && setting.change > wanted;

/** Whether no setting at hand comes nearer to what would set the source right by itself. */
function isNearest({ adjuster, setting, wanted }: Advice): boolean {
  const off = ({ change }: Pick<Advice["setting"], "change">): number => Math.abs(change - wanted);
  return adjuster.settings.every((other) => off(other) >= off(setting));
}

/** An angle as a label has it: `45°`, `22.5°`. */
export const labelAngle = (rad: number): string => formatAngle(rad, { digits: 2 }).replace(/\.?0+°/, "°");

const leafText = (mm: number, units: Job["units"]): string =>
  units === "mm"
    ? formatLength(mm, { unit: "mm", digits: 2 })
    : formatLength(mm, { unit: "in", style: "thou", digits: 1 });

function forecastRows(
  before: CalibrationForecast,
  after: CalibrationForecast,
  job: Job,
): [string, string, string][] {
  const { units } = job;
  const range = ({ median, interval }: CalibrationForecast["gap"]): string =>
    `${smallLength(median, units)} (${smallLength(interval[0], units)} to ${smallLength(interval[1], units)})`;
  const closes = ({ closes, closesUncertainty }: CalibrationForecast): string =>
    closesUncertainty < 0.0025
      ? chanceText(closes)
      : `${chanceText(closes)} ± ${Math.round(200 * closesUncertainty)} %`;
  return [
    [`cells that close (${closingRule(job)})`, closes(before), closes(after)],
    ["widest gap of a cell", range(before.gap), range(after.gap)],
    [
      job.lengths === "fitted" ? "deepest press, all pieces in" : "deepest press of a cell",
      range(before.press),
      range(after.press),
    ],
  ];
}

/** Known moves and jigs' records that the readings do not believe. */
export function contradictions({ sources }: Pick<Calibration["fit"], "sources">): string[] {
  return sources
    .filter(({ contradicted }) => contradicted)
    .flatMap(({ id, priorMean = 0 }) => {
      const name = sourceText(id);
      if (id.kind === "lean")
        return `The readings contradict the ${name} that the job or a record states: check that front and back were not mixed up and that it is the same jig; then widen its lean-trusted-to.`;
      if (id.round !== undefined)
        return `The readings contradict the ${name}: check that it was made as written, and in the direction written.`;
      // Only a record expects an error.
      if (priorMean !== 0)
        return `The readings contradict the record of the ${name}: check that it is the same jig, neither moved nor sharpened since; then widen the record more, or leave it out.`;
      return [];
    });
}

/** From this share of its first uncertainty on, nothing was read of an error source. */
const NOTHING_READ = 0.995;

/** What the readings leave open, a combination of error sources or one by itself, in words. */
export function unseparatedText({ weights, remaining }: Unseparated): string {
  const left = `${Math.round(remaining * 100)} % of the uncertainty you started with is left`;
  const [first, ...rest] = weights;
  if (!first) return "";
  const name = sourceText(first.source);
  if (rest.length === 0)
    return remaining > NOTHING_READ
      ? `The ${name} is not measured yet.`
      : `The ${name} is not measured well enough to say: ${left}.`;
  const opposite = rest.filter(({ weight }) => weight < 0).map(({ source }) => `the ${sourceText(source)}`);
  const same = rest.filter(({ weight }) => weight > 0).map(({ source }) => `the ${sourceText(source)}`);
  const hides = [
    same.length > 0 ? `the same way at ${listed(same)}` : "",
    opposite.length > 0 ? `the other way at ${listed(opposite)}` : "",
  ].filter((part) => part !== "");
  return `The ${name} cannot be told from ${listed([...same, ...opposite])}: an error there together with one ${hides.join(" and ")} looks the same as all being right (${left}).`;
}

/** Ramps that lean for sure: no shim or stop takes that out. */
export function leaningText({ fit, job }: Calibration): string[] {
  const leaning = fit.sources.filter(
    ({ id, current }) => id.kind === "lean" && Math.abs(current.estimate) > 2 * current.standardUncertainty,
  );
  if (leaning.length === 0) return [];
  const names = listed(leaning.map(({ id }) => id.of));
  const [ramp, is, it] = leaning.length === 1 ? ["ramp", "is", "the ramp"] : ["ramps", "are", "each ramp"];
  return [
    `The ${ramp} of ${names} ${is} out of square to the bed, and on strips ${pieceLength(job.depth ?? 0, job.units)} deep no shim or stop takes that out: square ${it} to its bed, then cut and measure trial pieces anew.`,
  ];
}

/** That the moves trade open joints for tight ones, where they do. */
export function trimmingText({ job, before, after }: Calibration): string[] {
  const { limits, lengths, costs } = job;
  const tighter = after.press.median > Math.max(before.press.median, limits.snug);
  if (lengths === "fitted" || !tighter) return [];
  return [
    `After the moves most cells will be too tight to close by hand, and pieces will have to be trimmed: a piece that is too long can be trimmed, one that is too short is scrap. The job's costs say so: a press counts ${costs.tightCell} of a scrapped piece for each snug limit, an open cell ${costs.openCell}. If trimming costs you more, set tight-cell under costs in job.yaml.`,
  ];
}

function notesOf(calibration: Calibration, cells: number): string[] {
  const { before, after, job } = calibration;
  const difference = Math.max(before.orderDifference.largest, after.orderDifference.largest);
  const seated = Math.min(before.orderDifference.cells, after.orderDifference.cells);
  return [
    `Uncertainties are U = 2·u, about 95 %; ranges of gap and press hold 95 % of the cells.`,
    seated > 0
      ? `Gaps were drawn at first order; over ${seated} cells the exact order changed the widest gap by at most ${smallLength(difference, job.units)}.`
      : "Gaps were drawn at first order. The errors are known so poorly that no simulated cell could be seated in exact order: cut more trial pieces before you trust these gaps.",
    `Moves are weighed over ${cells} cells.`,
    ...leaningText(calibration),
    ...trimmingText(calibration),
    ...(job.lengths === "fitted" ? [fittedNote(job)] : []),
  ];
}

/** The reading of one new piece that would confirm a move, with the expanded uncertainty of that reading: sources, re-setting and cut-to-cut scatter together. */
export function checkAfter(calibration: Calibration, { adjuster, setting }: Advice): string {
  const { job, fit } = calibration;
  const source = at(fit.sources, adjuster.source);
  const u = Math.hypot(source.current.standardUncertainty, adjuster.resetSd);
  if (source.angular) {
    const jig = jigNamed(job, source.id.of);
    const angle = jig.ramp + source.current.estimate + setting.change;
    const text = expanded(angle, Math.hypot(u, job.betweenCutSd.angle), "deg");
    return `Cut a new trial piece; an angle gauge should read ${text}.`;
  }
  const specimen = cellSpecimen(job, fit.likelihood.cells);
  const groups = setUpNamed(job, source.id.of).cuts;
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
  const moved = fit.estimates.map((estimate, c) => estimate + at(decision.moves.change, c));
  const reading = { what: "length", subject: piece, bench: "none", setUp: null } as Reading;
  const [expected] = readSpecimen(specimen.reader, errorsFrom(specimen, moved), [reading], job);
  const { value, slopes } = expected!;
  const p = moved.length;
  const bySource = Float64Array.from(moved, (_, c) =>
    slopes.reduce((sum, slope, e) => sum + slope * at(specimen.matrix, e * p + c), 0),
  );
  let variance = slopes.reduce((sum, slope, e) => sum + (slope * at(specimen.betweenCutSd, e)) ** 2, 0);
  for (let a = 0; a < p; a++) {
    variance += (at(bySource, a) * at(decision.moves.resetSd, a)) ** 2;
    for (let b = 0; b < p; b++) variance += at(bySource, a) * at(bySource, b) * at(fit.covariance, a * p + b);
  }
  return { value, deviation: Math.sqrt(variance) };
}
