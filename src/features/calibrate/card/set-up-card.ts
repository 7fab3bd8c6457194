import { at } from "../../../core/numeric/dense.js";
import { formatAngle, formatWithUncertainty, type ResultUnit } from "../../../core/quantity/index.js";
import { listed } from "../../../core/text.js";
import type { Calibration } from "../../../inference/calibrate-job.js";
import type { CalibrationForecast } from "../../../inference/calibration-forecast.js";
import type { Advice, MoveVerdict } from "../../../inference/decision/decide-moves.js";
import type { SourceEstimate } from "../../../inference/estimates/fit-sources.js";
import type { Unseparated } from "../../../inference/estimates/identifiability.js";
import { withScatters } from "../../../inference/job-posterior.js";
import { readSpecimen } from "../../../inference/likelihood/read-specimen.js";
import {
  cellSpecimen,
  errorsFrom,
  ownSlopes,
  type Specimen,
} from "../../../inference/likelihood/specimen.js";
import type { Job } from "../../../model/job/job.js";
import type { Reading } from "../../../model/readings.js";
import { jigNamed, setUpNamed } from "../../../model/shop.js";
import { type SourceId, sameSource } from "../../../model/source-id.js";
import { CAUTIONS } from "../../../render/cautions.js";
import { shopRangeText } from "../../../render/evidence-text.js";
import { fitSentence, misfitTexts } from "../../../render/misfit-text.js";
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
  smallLength,
} from "../../../render/shop-numbers.js";
import { capitalised, sourceText } from "../../../render/source-text.js";
import { readTexts } from "../../plan/index.js";
import {
  actionText,
  fewerMovesText,
  holdSentence,
  otherLimitsText,
  reasonText,
  shownVerdict,
} from "./move-sentences.js";

// There are two cards. This file has the sentences of the one that `sukima calibrate` and `npm start` print; card-text.ts formats them.
// The sheet of `sukima card` has its own sentences in card-sheet.ts and sheet-lines.ts and reuses some from here; sheet-html.ts formats it.

/** One jig or stop on the card. */
export interface CardRow {
  readonly id: SourceId;
  readonly name: string;
  /** The current error, with its expanded uncertainty. */
  readonly error: string;
  readonly means: string;
  readonly verdict: MoveVerdict | "locked" | "no adjuster";
  /** The verdict as a table shows it. */
  readonly verdictText: string;
  readonly action: string;
  readonly reason: string;
  /** The reading that would confirm the move; empty if there is no move. */
  readonly check: string;
}

/** One thing to do: what it is about, what to do and why, and the reading that would confirm it (empty where there is none). */
export interface CardStep {
  readonly about: string;
  readonly action: string;
  readonly reason: string;
  readonly check: string;
}

/** The full content of a set-up card, as text in the shop's units. */
export interface SetUpCard {
  readonly title: string;
  readonly date: string;
  readonly cell: string;
  readonly rows: readonly CardRow[];
  /** What to do, in this order: why nothing may be moved yet, what to read first, what to move. */
  readonly steps: readonly CardStep[];
  /** Why the rest stays as it is: in order, off and left, or not known. */
  readonly staying: readonly string[];
  readonly thickness: string;
  /** What a cell must keep to close: `gap ≤ 0.080 mm, press ≤ 0.040 mm`. */
  readonly closing: string;
  /** Expected results for a cell: heading, before, after. */
  readonly forecast: readonly (readonly [string, string, string])[];
  /** Why the forecast is not reliable: the readings do not fit; empty if they fit. */
  readonly forecastDoubt: string;
  readonly fit: string;
  readonly unseparated: readonly string[];
  readonly notes: readonly string[];
  readonly cautions: readonly string[];
}

/** Whether a source has a row: sources that can be corrected on a jig or at a stop have one, re-setting errors of known moves do not. */
const onCard = ({ kind, round }: SourceId): boolean =>
  round === undefined && (kind === "ramp" || kind === "stop" || kind === "lean");

/**
 * The card of a calibration. `date` is printed as it is.
 *
 * @example
 * setUpCard(calibration, "2000-01-01").title === job.title // true
 */
export function setUpCard(calibration: Calibration, date: string): SetUpCard {
  const { job, fit, verdict, decision, before, after, readings } = calibration;
  const trials = new Set(readings.map(({ trial }) => trial)).size;
  const thickness = fit.sources.find(({ id }) => id.kind === "thickness");
  const rows = fit.sources.flatMap((source, i) => (onCard(source.id) ? [rowOf(source, i, calibration)] : []));
  return {
    title: job.title,
    date,
    cell: `${cellText(job)}; ${readings.length} readings of ${trials} trial pieces`,
    rows,
    steps: stepsOf(calibration, rows),
    staying: stayingOf(calibration, rows),
    thickness: thickness
      ? `${errorText(thickness.estimate, thickness.standardUncertainty, "length", job.units)} from ${pieceLength(job.strip, job.units)}`
      : "",
    closing: closingRule(job),
    forecast: forecastRows(before, after, job),
    forecastDoubt: forecastDoubt(calibration),
    fit: [fitSentence(verdict), ...(decision.hold === null ? misfitLines(calibration) : [])].join(" "),
    unseparated: [
      ...unidentifiedSignTexts(fit.sources, job),
      ...fit.unseparated.map(unseparatedText),
      ...contradictions(fit),
    ],
    notes: notesOf(calibration, job.costs.cells),
    cautions: CAUTIONS,
  };
}

/** A sentence beside the forecast if the readings do not fit; otherwise empty. */
export const forecastDoubt = ({ verdict }: Calibration): string =>
  verdict.verdict === "does not fit"
    ? "These figures rest on readings that do not fit: do not rely on them until that is settled."
    : "";

const misfitLines = ({ verdict, job }: Calibration): string[] =>
  verdict.misfit ? misfitTexts(verdict.misfit, job) : [];

/** Why nothing may be moved yet, with the likely reason and what to do about it; `null` if moves may be made. */
export function holdText(calibration: Calibration): string | null {
  const { hold } = calibration.decision;
  return hold && [holdSentence(hold, calibration.verdict), ...misfitLines(calibration)].join(" ");
}

const adviceFor = ({ decision, fit }: Calibration, { id }: CardRow): Advice | undefined =>
  decision.advice.find(({ adjuster }) => sameSource(at(fit.sources, adjuster.source).id, id));

function stepsOf(calibration: Calibration, rows: readonly CardRow[]): CardStep[] {
  const { job } = calibration;
  const held = holdText(calibration);
  const hold = held === null ? [] : [{ about: "Move nothing yet", action: held, reason: "", check: "" }];
  const reading = rows.flatMap((row) => {
    const advice = adviceFor(calibration, row);
    if (advice?.verdict !== "not known" || advice.read === null || !advice.readPays) return [];
    const [action, reason] = readTexts(advice.read, job);
    return [{ name: row.name, action, reason }];
  });
  return [
    ...hold,
    ...grouped(reading, ({ action }) => action).map(([first, ...others]) => ({
      action: first.action,
      reason: first.reason,
      check: "",
      about: `Before you move ${the([first, ...others])}`,
    })),
    ...rows
      .filter(({ verdict }) => verdict === "adjust")
      .map(({ name, action, reason, check }) => ({ about: capitalised(name), action, reason, check })),
  ];
}

const the = (rows: readonly { readonly name: string }[]): string =>
  listed(rows.map(({ name }) => `the ${name}`));

/** Groups items by a key, in their original order. */
function grouped<T>(items: readonly T[], same: (item: T) => string): [T, ...T[]][] {
  const groups = new Map<string, [T, ...T[]]>();
  for (const item of items) {
    const group = groups.get(same(item));
    if (group) group.push(item);
    else groups.set(same(item), [item]);
  }
  return [...groups.values()];
}

function stayingOf(calibration: Calibration, rows: readonly CardRow[]): string[] {
  const named = (verdict: CardRow["verdict"]): CardRow[] => rows.filter((row) => row.verdict === verdict);
  const inOrder = named("in order").map(({ name, error }) => `${name} (${error})`);
  const notKnown = named("not known").filter((row) => !adviceFor(calibration, row)?.readPays);
  return [
    ...named("off, leave it").map(
      ({ name, error, reason }) => `Off, and left as it is: the ${name}, ${error}. ${reason}`,
    ),
    ...(inOrder.length === 0 ? [] : [`In order, no error found larger than matters: ${listed(inOrder)}.`]),
    ...grouped(notKnown, ({ reason }) => reason).map(
      (alike) => `Not known: ${the(alike)}. ${alike[0].reason}`,
    ),
  ];
}

function rowOf(source: SourceEstimate, index: number, calibration: Calibration): CardRow {
  const { job, decision } = calibration;
  const advice = decision.advice.find(({ adjuster }) => adjuster.source === index);
  const kind = source.angular ? "angle" : "length";
  const { estimate, standardUncertainty } = source.current;
  const error = sidedError(source, job) ?? errorText(estimate, standardUncertainty, kind, job.units);
  const fixed = source.id.kind === "lean" ? "no adjuster" : "locked";
  return {
    id: source.id,
    name: sourceText(source.id),
    error: source.fromData ? error : `${error} (as trusted)`,
    means: meaningOf(source, job),
    verdict: advice?.verdict ?? fixed,
    verdictText: advice ? shownVerdict(advice) : fixed,
    action: advice ? actionText(advice, job) : "Cannot be moved.",
    reason: advice
      ? [reasonText(advice, job, decision.hold !== null), extraText(advice, job)]
          .filter((text) => text !== "")
          .join(" ")
      : "",
    check: advice?.verdict === "adjust" ? checkAfter(calibration, advice) : "",
  };
}

/** The sign in words, if the error is clearly not zero. */
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

/** Why a move is larger or smaller than the negative of the error; empty if no setting comes nearer to that, or if nothing is moved. */
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

/** Whether a stop is deliberately set long for pieces that are fitted by trial. */
const leavesToTrim = ({ adjuster, setting, wanted }: Advice, { lengths }: Job): boolean =>
  lengths === "fitted" && adjuster.kind === "stop" && setting.change > wanted;

/** Whether no available setting comes nearer to the move that would correct the source by itself. */
function isNearest({ adjuster, setting, wanted }: Advice): boolean {
  const off = ({ change }: Pick<Advice["setting"], "change">): number => Math.abs(change - wanted);
  return adjuster.settings.every((other) => off(other) >= off(setting));
}

/** An angle as written on a label: `45°`, `22.5°`. */
export const labelAngle = (rad: number): string => formatAngle(rad, { digits: 2 }).replace(/\.?0+°/, "°");

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
    ["cells that close", closes(before), closes(after)],
    ...(before.shops && after.shops
      ? [
          [
            "  likely range (8 times in 10)",
            shopRangeText(before.shops, 0.8),
            shopRangeText(after.shops, 0.8),
          ] as [string, string, string],
        ]
      : []),
    ["widest gap of a cell", range(before.gap), range(after.gap)],
    [
      job.lengths === "fitted" ? "deepest press, all pieces in" : "deepest press of a cell",
      range(before.press),
      range(after.press),
    ],
  ];
}

/** Known moves and jigs' records that the readings contradict. */
export function contradictions({ sources }: Pick<Calibration["fit"], "sources">): string[] {
  return sources
    .filter(({ contradicted }) => contradicted)
    .flatMap(({ id, priorMean = 0 }) => {
      const name = sourceText(id);
      if (id.kind === "lean")
        return `The readings contradict the ${name} that the job or a record states: check that front and back were not mixed up and that it is the same jig; then widen its lean-trusted-to.`;
      if (id.round !== undefined)
        return `The readings contradict the ${name}: check that it was made as written, and in the direction written.`;
      // Only a record gives a source a non-zero prior mean.
      if (priorMean !== 0)
        return `The readings contradict the record of the ${name}: check that it is the same jig, neither moved nor sharpened since; then widen the record more, or leave it out.`;
      return [];
    });
}

/** An error source counts as not measured if at least this share of its prior uncertainty remains. */
const NOTHING_READ = 0.995;

/** A combination of error sources, or a single one, that the readings do not identify, in words. */
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

/** Ramps that clearly lean, which no shim or stop can correct. */
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

/** A note if the moves exchange open joints for tight ones. */
export function trimmingText({ job, before, after }: Calibration): string[] {
  const { limits, lengths, costs } = job;
  const tighter = after.press.median > Math.max(before.press.median, limits.snug);
  if (lengths === "fitted" || !tighter) return [];
  return [
    `After the moves most cells will be too tight to close by hand, and pieces will have to be trimmed: a piece that is too long can be trimmed, one that is too short is scrap. The job's costs say so: a press counts ${costs.tightPiece} of a scrapped piece for each snug limit, an open cell ${costs.openCell}. If trimming costs you more, set tight-piece under costs in job.yaml.`,
  ];
}

/** Why more is moved than closing needs; none if it is not. */
export function fewerLines({ decision, fit, job }: Calibration): string[] {
  const text = fewerMovesText(decision, fit, job);
  return text === "" ? [] : [text];
}

function notesOf(calibration: Calibration, cells: number): string[] {
  const { before, after, job } = calibration;
  const difference = Math.max(before.orderDifference.largest, after.orderDifference.largest);
  const seated = Math.min(before.orderDifference.cells, after.orderDifference.cells);
  return [
    `Uncertainties are U = 2·u, about 95 %; ranges of gap and press hold 95 % of the cells.`,
    seated > 0
      ? `Gaps were drawn at first order and corrected by what exact order changes in ${seated} cells: the widest gap by at most ${smallLength(difference, job.units)}.`
      : "Gaps were drawn at first order. The errors are known so poorly that no simulated cell could be seated in exact order: cut more trial pieces before you trust these gaps.",
    `Moves are weighed over ${cells} cells. ${otherLimitsText(calibration.decision, calibration.fit, job)}`,
    ...fewerLines(calibration),
    ...leaningText(calibration),
    ...trimmingText(calibration),
    ...(job.lengths === "fitted" ? [fittedNote(job)] : []),
  ];
}

/** The reading of one new piece that would confirm a move, with the expanded uncertainty of that reading from sources, re-setting and cut-to-cut scatter combined. */
export function checkAfter(calibration: Calibration, { adjuster, setting }: Advice): string {
  const { fit, posterior } = calibration;
  const job = withScatters(calibration.job, posterior);
  const source = at(fit.sources, adjuster.source);
  const u = Math.hypot(source.current.standardUncertainty, adjuster.resetSd);
  if (source.angular) {
    const jig = jigNamed(job, source.id.of);
    const angle = jig.ramp + source.current.estimate + setting.change;
    const text = expanded(angle, Math.hypot(u, job.betweenCutSd.angle), "deg");
    return `Cut a new trial piece; an angle gauge should read ${text}.`;
  }
  const specimen = cellSpecimen(job, fit.target.cells);
  const groups = setUpNamed(job, source.id.of).cuts;
  const piece = specimen.cell.pieces.find(({ cuts }) => cuts.some(({ group }) => groups.includes(group)));
  if (!piece) return "";
  const { value, deviation } = lengthAfter(calibration, specimen, piece.name);
  return `Cut a new ${piece.kind}; tip to tip it should measure ${expanded(value, deviation, job.units)}.`;
}

/** `84.869 mm ± 0.049 mm`, U = 2·u; the card explains U only once. */
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
  let variance = ownSlopes(specimen, slopes).reduce(
    (sum, slope, e) => sum + (slope * at(specimen.betweenCutSd, e)) ** 2,
    0,
  );
  for (let a = 0; a < p; a++) {
    variance += (at(bySource, a) * at(decision.moves.resetSd, a)) ** 2;
    for (let b = 0; b < p; b++) variance += at(bySource, a) * at(bySource, b) * at(fit.covariance, a * p + b);
  }
  return { value, deviation: Math.sqrt(variance) };
}
