import type { Calibration } from "../../../inference/calibrate-job.js";
import type { CalibrationForecast } from "../../../inference/calibration-forecast.js";
import type { Unseparated } from "../../../inference/estimates/identifiability.js";
import type { Job } from "../../../model/job/job.js";
import { sameSource } from "../../../model/source-id.js";
import { CAUTIONS } from "../../../render/cautions.js";
import { evidenceText } from "../../../render/evidence-text.js";
import { cellText, fittedNote, unidentifiedSignTexts } from "../../../render/shared-text.js";
import { chanceText, smallLength } from "../../../render/shop-numbers.js";
import { capitalised, sourceText } from "../../../render/source-text.js";
import { type DrawingScale, drawingScale } from "./drawings.js";
import { otherLimitsText } from "./move-sentences.js";
import {
  fewerLines,
  forecastDoubt,
  holdText,
  leaningText,
  type SetUpCard,
  setUpCard,
  trimmingText,
} from "./set-up-card.js";
import { rampLine, type SheetLine, type SheetMaker, stopLine, stopsOf } from "./sheet-lines.js";

/** One jig on the sheet: its ramp, and the stops of the set-ups cut on it. */
export interface SheetJig {
  readonly name: string;
  readonly ramp: SheetLine;
  readonly stops: readonly SheetLine[];
  /** Set-ups that cut first ends, which are cut to a mark. */
  readonly toAMark: readonly string[];
}

/** The full content of the printed card, as text in the shop's units, with its drawings. */
export interface CardSheet {
  readonly title: string;
  readonly date: string;
  /** The sheet's size: half of what the shop's printer takes. */
  readonly paper: "A5" | "half-letter";
  readonly cell: string;
  /** What it is based on: the number of readings, or that there are none yet. */
  readonly basis: string;
  readonly jigs: readonly SheetJig[];
  /** Expected results for a cell: quantity, before, after; empty before any trial. */
  readonly forecast: readonly (readonly [string, string, string])[];
  /** Why the forecast is not reliable; empty if it is. */
  readonly forecastDoubt: string;
  readonly notes: readonly string[];
  /** Notes that also appear on the other forms of the card; those that do not fit on one side are left out here, the last first. */
  readonly spareNotes: readonly string[];
  readonly cautions: readonly string[];
}

/**
 * The printed card of a job: with a calibration the moves and what to check after, without one the settings to begin with.
 *
 * @param date printed as it is
 * @example
 * cardSheet(job, null, "2000-01-01").jigs.length // 3
 */
export function cardSheet(job: Job, calibration: Calibration | null, date: string): CardSheet {
  const { units } = job;
  const card = calibration && setUpCard(calibration, date);
  const advice = calibration?.decision.advice ?? [];
  const settings = (kind: string) =>
    advice.filter(({ adjuster }) => adjuster.kind === kind).map(({ setting }) => setting);
  const stops = stopsOf(job);
  const scale = drawingScale(
    Math.max(...stops.map(({ setting }) => setting), 1),
    settings("stop").map(({ change }) => change),
    settings("shim").map(({ leaves }) => leaves.reduce((sum, leaf) => sum + leaf, 0)),
  );
  const maker: SheetMaker = { job, scale, card, advice };
  return {
    title: job.title === "" ? "Set-up card" : job.title,
    date,
    paper: units === "mm" ? "A5" : "half-letter",
    cell: cellText(job),
    basis: basisOf(calibration, card),
    jigs: job.jigs.map((jig) => ({
      name: jig.name,
      ramp: rampLine(jig, maker),
      stops: stops.filter(({ setUp }) => setUp.jig === jig.name).map((stop) => stopLine(stop, maker)),
      toAMark: job.setUps
        .filter((setUp) => setUp.jig === jig.name && setUp.stop === null)
        .map(({ name }) => name),
    })),
    forecast: calibration ? forecastRows(calibration) : [],
    forecastDoubt: calibration ? forecastDoubt(calibration) : "",
    notes: notesOf(job, calibration, card, scale),
    spareNotes: calibration && card ? spareNotesOf(calibration) : [],
    cautions: CAUTIONS,
  };
}

/** The notes as on the other forms of the card, each on one line. */
function forecastRows({ job, before, after }: Calibration): [string, string, string][] {
  const { units, limits } = job;
  const range = ({ median, interval: [low, high] }: CalibrationForecast["gap"]): string => {
    const [a, b] = [low, high].map((end) => smallLength(end, units).replace(/ \D+$/, ""));
    return `${smallLength(median, units)} (${a} to ${b})`;
  };
  const limit = (mm: number): string => smallLength(mm, units);
  return [
    ["cells that close", chanceText(before.closes), chanceText(after.closes)],
    [`widest gap, limit ${limit(limits.gap)}`, range(before.gap), range(after.gap)],
    [
      job.lengths === "fitted"
        ? "deepest press, all pieces in"
        : `deepest press, limit ${limit(limits.snug)}`,
      range(before.press),
      range(after.press),
    ],
  ];
}

function basisOf(calibration: Calibration | null, card: SetUpCard | null): string {
  if (!calibration || !card)
    return "Before any trial piece: nothing is measured yet, the settings are the nominal ones.";
  return `${evidenceText(calibration.posterior)} ${card.fit}`;
}

/** Names of a combination that the readings do not identify; the other forms of the card explain it. */
function unseparatedLine({ weights }: Unseparated): string[] {
  if (weights.length < 2) return [];
  return [`These readings cannot tell apart: ${weights.map(({ source }) => sourceText(source)).join(", ")}.`];
}

function notesOf(
  job: Job,
  calibration: Calibration | null,
  card: SetUpCard | null,
  { moveMagnified, leafMagnified }: DrawingScale,
): string[] {
  const { units, limits } = job;
  const fitted = job.lengths === "fitted" ? [fittedNote(job)] : [];
  const magnified = [
    ...(moveMagnified > 1 ? [`moves of stops, ${moveMagnified} times their size`] : []),
    ...(leafMagnified > 1 ? [`leaves, ${leafMagnified} times their thickness`] : []),
  ];
  const drawn = magnified.length > 0 ? `, but for ${magnified.join(", and ")}` : "";
  const drawings = `The drawings are to scale${drawn}; they do not show the shape of your jigs. Bold: where the blade runs and cuts. An angle is counted from a square cut (dashed).`;
  if (!card)
    return [
      drawings,
      ...fitted,
      job.lengths === "fitted"
        ? `A cell closes with no gap over ${smallLength(limits.gap, units)}.`
        : `A cell closes with no gap over ${smallLength(limits.gap, units)} and no press over ${smallLength(limits.snug, units)}.`,
    ];
  // These have a sentence of their own.
  const unidentified = calibration?.fit.sources.flatMap(({ id, sides }) => (sides ? [id] : [])) ?? [];
  const hold = calibration && holdText(calibration);
  return [
    ...(hold === null ? [] : [`Move nothing yet. ${hold}`]),
    "± is the expanded uncertainty, k = 2, about 95 %; ranges hold 95 % of the cells.",
    `Stock: ${card.thickness}.`,
    ...card.rows
      // A lean has no drawing: nothing on the jig moves it.
      .filter(({ id }) => id.kind === "lean" && !unidentified.some((one) => sameSource(one, id)))
      .map(({ name, error, means }) => `${capitalised(name)}: ${error}, ${means}.`),
    ...(calibration ? unidentifiedSignTexts(calibration.fit.sources, job) : []),
    ...(calibration ? leaningText(calibration) : []),
    ...(calibration ? trimmingText(calibration) : []),
    ...(calibration?.fit.unseparated ?? []).flatMap(unseparatedLine),
    ...fitted,
    drawings,
  ];
}

const spareNotesOf = (calibration: Calibration): string[] => [
  otherLimitsText(calibration.decision, calibration.fit, calibration.job),
  ...fewerLines(calibration),
];
