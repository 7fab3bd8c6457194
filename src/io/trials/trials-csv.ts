import { stringify } from "csv-stringify/sync";
import { formatAngle, formatLength } from "../../core/quantity/index.js";
import type { Job } from "../../model/job/job.js";
import { isAngleReading, type Reading } from "../../model/readings.js";
import { inertCell, type Row, type TableSpec } from "../table.js";

/** Columns of a table of trials. */
export const COLUMNS = [
  "id",
  "trial",
  "set-up",
  "round",
  "bench",
  "joint",
  "what",
  "at",
  "side",
  "value",
  "low",
  "high",
  "unit",
  "instrument",
  "note",
] as const;
export type TrialColumn = (typeof COLUMNS)[number];
/** One row of a table of trials. */
export type TrialRow = Row<TrialColumn>;

/** Columns of a new table for a job in which nothing leans, so that no side is read. */
export const USUAL_COLUMNS = COLUMNS.filter((column) => column !== "side");

const READINGS: readonly TrialColumn[] = ["value", "low", "high"];

/** Required and optional columns of a table of trials. */
export const TRIALS_TABLE: TableSpec<TrialColumn> = {
  columns: {
    id: { needed: true, example: "r1" },
    trial: { needed: true, example: "1" },
    "set-up": { needed: false, example: "diagonal-start" },
    round: { needed: false, example: "" },
    bench: { needed: true, example: "corner-90" },
    joint: { needed: true, example: "start-left" },
    what: { needed: true, example: "gap" },
    at: { needed: false, example: "widest" },
    side: { needed: false, example: "" },
    value: { needed: false, example: "", number: true },
    low: { needed: false, example: "0.05", number: true },
    high: { needed: false, example: "0.1", number: true },
    unit: { needed: true, example: "mm" },
    instrument: { needed: true, example: "feeler" },
    note: { needed: false, example: "" },
  },
  alsoNeeds: ", and value, or low and high",
  headingFault: (columns) =>
    READINGS.some((column) => columns.includes(column))
      ? undefined
      : "The table has no column for what was read; it needs value, or low and high, or all three.",
};

/**
 * A trials table in the job's units: lengths to five decimals of a mm or inch, angles in degrees.
 *
 * @example
 * trialsCsv(job, readings).split("\n")[0] // "id,trial,set-up,round,bench,joint,what,at,value,low,high,unit,instrument,note"
 */
export function trialsCsv({ units }: Job, readings: readonly Reading[]): string {
  const sided = readings.some(({ side }) => side !== undefined);
  const rows = readings.map((reading) => {
    const { id, trial, setUp, round, bench, subject, what, at, side } = reading;
    const { value, low, high, instrument, note } = reading;
    const isAngle = isAngleReading(what);
    const text = (x: number | null): string => {
      if (x === null || !Number.isFinite(x)) return "";
      return bare(isAngle ? formatAngle(x, { digits: 4 }) : formatLength(x, { unit: units, digits: 5 }));
    };
    const unit = isAngle ? "deg" : units;
    return [
      ...[id, trial, setUp ?? "", round ?? "", bench, subject ?? "", what].map(inertCell),
      at ?? "",
      ...(sided ? [side ?? ""] : []),
      text(value),
      text(low),
      text(high),
      ...[unit, instrument, note].map(inertCell),
    ];
  });
  return stringify([sided ? COLUMNS : USUAL_COLUMNS, ...rows]);
}

/** The number without its unit and trailing zeros. */
function bare(text: string): string {
  const number = text.replace("−", "-").replace(/[^\d.-]/g, "");
  return number.includes(".") ? number.replace(/\.?0+$/, "") : number;
}
