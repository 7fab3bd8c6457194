import type { Calibration, CalibrationForecast } from "../../../inference/calibrate-job.js";
import type { Unseparated } from "../../../inference/estimates/identifiability.js";
import type { Job } from "../../../model/job/job.js";
import { sameSource } from "../../../model/source-id.js";
import { CAUTIONS } from "../../../render/cautions.js";
import { cellText, fittedNote, unidentifiedSignTexts } from "../../../render/shared-text.js";
import { chanceText, smallLength } from "../../../render/shop-numbers.js";
import { capitalised, sourceText } from "../../../render/source-text.js";
import { type DrawingScale, drawingScale } from "./drawings.js";
import { leaningText, type SetUpCard, setUpCard, trimmingText } from "./set-up-card.js";
import { rampLine, type SheetLine, type SheetMaker, stopLine, stopsOf } from "./sheet-lines.js";

/** One jig on the sheet: its ramp, and the stops of what is cut on it. */
export interface SheetJig {
  readonly name: string;
  readonly ramp: SheetLine;
  readonly stops: readonly SheetLine[];
  /** Set-ups that cut first ends, to a mark. */
  readonly toAMark: readonly string[];
}

/** All that the printed card says, as text in the shop's units, with its drawings. */
export interface CardSheet {
  readonly title: string;
  readonly date: string;
  /** The sheet's size: half of what the shop's printer takes. */
  readonly paper: "A5" | "half-letter";
  readonly cell: string;
  /** What it rests on: how many readings, or none yet. */
  readonly basis: string;
  readonly jigs: readonly SheetJig[];
  /** What is expected of a cell: what, before, after; empty before any trial. */
  readonly forecast: readonly (readonly [string, string, string])[];
  readonly notes: readonly string[];
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
    notes: notesOf(job, calibration, card, scale),
    cautions: CAUTIONS,
  };
}

/** As on the other forms of the card, each on one line. */
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
  const trials = new Set(calibration.readings.map(({ trial }) => trial)).size;
  const count = (n: number, what: string): string => `${n} ${what}${n === 1 ? "" : "s"}`;
  return [
    `From ${count(calibration.readings.length, "reading")} of ${count(trials, "trial piece")}.`,
    card.fit,
  ].join(" ");
}

/** A combination that the readings leave open, by its names alone: the other forms of the card explain it. */
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
  const alone = card.rows.find(({ verdict }) => verdict === "leave alone")?.reason;
  return [
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
    ...(alone ? [`Leave alone: ${alone.charAt(0).toLowerCase()}${alone.slice(1)}`] : []),
    drawings,
  ];
}
