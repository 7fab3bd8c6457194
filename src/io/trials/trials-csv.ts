import { stringify } from "csv-stringify/sync";
import { formatAngle, formatLength } from "../../core/quantity/index.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { COLUMNS, inertCell, USUAL_COLUMNS } from "../tables/table.js";

/** A trials table in the job's units: lengths to the hundred-thousandth of a mm or inch, angles in degrees. */
export function trialsCsv({ units }: Job, readings: readonly Reading[]): string {
  const sided = readings.some(({ side }) => side !== undefined);
  const rows = readings.map((reading) => {
    const { id, trial, setUp, round, bench, subject, what, at, side } = reading;
    const { value, low, high, instrument, note } = reading;
    const isAngle = what === "angle";
    const text = (x: number | null): string => {
      if (x === null || !Number.isFinite(x)) return "";
      const written = isAngle
        ? formatAngle(x, { digits: 4 })
        : formatLength(x, units === "mm" ? { unit: "mm", digits: 5 } : { unit: "in", digits: 5 });
      return bare(written);
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

/** The number alone, without its unit and closing zeros. */
function bare(text: string): string {
  const number = text.replace("−", "-").replace(/[^\d.-]/g, "");
  return number.includes(".") ? number.replace(/\.?0+$/, "") : number;
}
