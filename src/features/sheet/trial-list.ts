import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { formatLength } from "../../core/quantity/index.js";
import { stationsOf } from "../../inference/design/station.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";
import { ownerNamed } from "../../model/cell/face-id.js";
import { shoulderLength } from "../../model/cell/shoulder.js";
import type { Job } from "../../model/job/job.js";
import { jobBench, jobCell } from "../../model/job/job-cell.js";
import { type Instrument, isAngleReading, type Reading } from "../../model/readings.js";
import { jigNamed, setUpNamed } from "../../model/shop.js";
import { subjectNamer } from "../../render/shared-text.js";
import { placeText, sampleText } from "../plan/index.js";
import { isTaken, leafName, type SheetRow } from "./readings-table.js";

/** A reading to take, or taken, as the page asks for it. */
export interface ReadingTask {
  /** Its place in the table. */
  readonly index: number;
  readonly row: SheetRow;
  readonly reading: Reading;
  /** What to measure, in a sentence. */
  readonly ask: string;
  /** How and against what it is judged: `on corner-90 with feeler`. */
  readonly where: string;
  /** What was read, in words; empty while nothing is. */
  readonly read: string;
  /** Leaves of the feeler gauge, mm; empty where a value is typed. */
  readonly leaves: readonly number[];
  /** What it would be with nothing wrong; empty for a gap. */
  readonly nominal: string;
  /** What a typed value may look like. */
  readonly example: string;
}

/** The readings of one trial: of the same pieces. */
export interface TrialGroup {
  readonly trial: string;
  /** What is cut for it. */
  readonly cut: string;
  readonly tasks: readonly ReadingTask[];
}

/** The trials of a table in its order, each with its readings, taken and still to take. */
export function trialGroups(job: Job, rows: readonly SheetRow[], readings: readonly Reading[]): TrialGroup[] {
  const groups = new Map<string, ReadingTask[]>();
  for (const [index, reading] of readings.entries()) {
    const own = groups.get(reading.trial) ?? [];
    groups.set(reading.trial, own);
    own.push(taskOf(job, index, at(rows, index), reading));
  }
  return [...groups].map(([trial, tasks]) => ({ trial, tasks, cut: cutText(job, tasks) }));
}

function cutText(job: Job, tasks: readonly ReadingTask[]): string {
  const readings = tasks.map(({ reading }) => reading);
  const setUp = readings.find((reading) => reading.setUp !== null)?.setUp;
  if (setUp != null) {
    const { jig } = setUpNamed(job, setUp);
    const { ramp } = jigNamed(job, jig);
    const held = Math.max(...readings.map((reading) => piecesHeld(job, reading)));
    return `${held === 1 ? "A trial piece" : `${held} trial pieces`} cut at ${setUp}, on jig ${jig} (${Number((ramp / DEGREE).toFixed(4))}°)`;
  }
  if (readings.some(({ bench }) => bench === "cell")) return "A whole cell, put together";
  if (readings.every(({ what }) => what === "ramp"))
    return `The jig ${readings[0]?.subject} itself; nothing is cut for it`;
  const pieces = [...new Set(readings.map(({ subject }) => ownerNamed(subject ?? "")))];
  return pieces.length === 1 ? `One whole ${at(pieces, 0)}` : "All pieces of a cell";
}

/** Pieces of one set-up that a bench holds. */
const piecesHeld = (job: Job, { bench, setUp }: Reading): number =>
  bench === "none" || bench === "cell" || setUp === null
    ? 1
    : jobBench(job, bench, setUpNamed(job, setUp)).pieces.length;

function taskOf(job: Job, index: number, row: SheetRow, reading: Reading): ReadingTask {
  const instrument = job.instruments.find(({ name }) => name === reading.instrument);
  return {
    index,
    row,
    reading,
    ask: askText(job, reading),
    where: `${placeText(reading.bench)}, with ${reading.instrument}`,
    read: isTaken(row) ? readText(job, row, reading) : "",
    leaves: instrument?.leaves ?? [],
    ...typedLike(job, reading, instrument),
  };
}

const PLACE = { toe: "at the toe", heel: "at the heel", widest: "at its widest place" } as const;

function askText(job: Job, reading: Reading): string {
  const { what, subject, at: place, side } = reading;
  const name = subjectNamer(job)(reading);
  switch (what) {
    case "gap": {
      const seen = side === undefined ? "" : `, seen from the ${side}`;
      const where = place === null ? "" : ` ${PLACE[place]}`;
      return subject === null ? `Gap of the widest joint${seen}` : `Gap of ${name}${where}${seen}`;
    }
    case "angle":
      return `Angle of ${name}, counted from a square cut`;
    case "ramp":
      return `Angle of the ramp of ${name}, with the box laid on the jig`;
    case "thickness":
      return `Thickness of ${name}`;
    case "shoulder":
      return `Length of the side ${name}, from corner to corner`;
    case "length":
      return `Length of ${name}, tip to tip`;
    default:
      return notAsked(what);
  }
}

/** Exhaustiveness check: the compiler reports an error here if a quantity has no case. */
function notAsked(what: never): never {
  throw new RangeError(`The page cannot ask for a reading of ${String(what)}.`);
}

function labelAngleOf(job: Job, { what, setUp, subject }: Reading): number | undefined {
  if (what === "ramp") return jigNamed(job, subject ?? "").ramp;
  if (setUp !== null) return jigNamed(job, setUpNamed(job, setUp).jig).ramp;
  const pieces = jobCell(job).pieces.flatMap(({ name, cuts }) =>
    cuts.map(({ face, jigAngle }) => ({ name: `${name}.${face}`, jigAngle })),
  );
  return pieces.find(({ name }) => name === subject)?.jigAngle;
}

function readText({ units }: Job, row: SheetRow, { what, low, high, value }: Reading): string {
  const unit = isAngleReading(what) ? "°" : ` ${row.unit || units}`;
  const typed = (text: string): string => (/[^\d.,/\s]/.test(text) ? text : `${text}${unit}`);
  if (value !== null) return typed(row.value);
  const leaf = (mm: number): string => leafName(mm, units);
  if (low === null || high === null || what !== "gap")
    return `${typed(row.low || "?")} to ${typed(row.high || "?")}`;
  if (!Number.isFinite(low)) return `nothing goes in: ${leaf(high)} does not`;
  if (!Number.isFinite(high)) return `${leaf(low)} goes in, and nothing thicker is at hand`;
  return `${leaf(low)} goes in, ${leaf(high)} does not`;
}

/** What it would be with nothing wrong, and an example of what may be typed. */
function typedLike(
  job: Job,
  reading: Reading,
  instrument: Instrument | undefined,
): Pick<ReadingTask, "nominal" | "example"> {
  const { what } = reading;
  const { units } = job;
  if (what === "gap")
    return { nominal: "", example: units === "in" ? "0.004" : String(instrument?.resolution ?? 0.1) };
  if (isAngleReading(what)) {
    const degrees = Number(((labelAngleOf(job, reading) ?? 0) / DEGREE).toFixed(4));
    return {
      nominal: `${degrees}° on the label`,
      example: `${Number((degrees + 0.3).toFixed(1))} or ${Math.floor(degrees)}°30'`,
    };
  }
  const size = what === "thickness" ? job.strip : nominalLength(job, reading);
  if (units === "mm") return { nominal: `${size.toFixed(2)} mm at nominal size`, example: size.toFixed(2) };
  const inches = (size / 25.4).toFixed(4);
  const [fraction = ""] = formatLength(size, { unit: "in", style: "fraction" }).split(/ in\b/);
  return { nominal: `${inches} in at nominal size`, example: `${inches} or ${fraction}` };
}

/** Length of a piece tip to tip, or of one of its sides, with nothing wrong; mm. */
function nominalLength(job: Job, { what, subject }: Reading): number {
  const cell = jobCell(job);
  if (what === "length") return cell.pieces.find(({ name }) => name === subject)?.length ?? job.opening;
  const side = cell.faces.find(({ kind, name }) => kind === "side" && name === subject);
  return side ? shoulderLength(cell, side) : job.opening;
}

/** Every trial that a shop can cut and read: what is cut, and the ways to judge it. */
export interface StationChoice {
  readonly cut: string;
  readonly stations: readonly { readonly value: string; readonly text: string }[];
}

export function stationChoices(job: Job): StationChoice[] {
  if (job.instruments.length === 0 || job.setUps.length === 0) return [];
  const choices = new Map<string, { value: string; text: string }[]>();
  for (const [i, { sample, bench, instrument }] of stationsOf(job, job.trialCosts).entries()) {
    const cut = sampleText(sample);
    const own = choices.get(cut) ?? [];
    choices.set(cut, own);
    own.push({ value: String(i), text: `${placeText(bench)}, with ${instrument.name}` });
  }
  return [...choices].map(([cut, stations]) => ({ cut, stations }));
}

/** The table of one of those trials, still without what is read. */
export function freeTrial(job: Job, choice: string): string {
  const open = { value: null, low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY };
  const { readings } = at(stationsOf(job, job.trialCosts), Number(choice));
  return trialsCsv(
    job,
    readings.map((reading) => ({ ...reading, ...open })),
  );
}
