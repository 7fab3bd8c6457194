import { CliError } from "../../core/errors.js";
import { GaugeStudyError } from "./analysis-of-variance.js";
import { type GaugeStudy, studyGauge } from "./gauge-study.js";
import { type GaugeTable, loadGaugeTable } from "./gauge-table.js";
import { gaugeJson, gaugeText, type NamedStudy } from "./gauge-text.js";

export interface GaugeFlags {
  readonly json?: boolean;
  /** Full width of the tolerance, mm or degrees. */
  readonly tolerance?: number;
}

/** `sukima gauge FILE`: how far each instrument of a table of repeated readings repeats, and its readers agree. */
export function gaugeCommand(file: string, { json, tolerance }: GaugeFlags): string {
  const studies = gaugeStudies(file, tolerance);
  if (json) return JSON.stringify(studies.map(gaugeJson), null, 1);
  return studies.map(gaugeText).join("\n");
}

/** A study of each instrument in a table of repeated readings. */
export const gaugeStudies = (file: string, tolerance?: number): NamedStudy[] =>
  loadGaugeTable(file).map((table) => {
    const { instrument, kind, unit } = table;
    const units = unit === "in" || unit === "thou" ? "in" : "mm";
    return { instrument, kind, units, study: studied(table, tolerance) };
  });

function studied({ readings, kind, instrument }: GaugeTable, tolerance: number | undefined): GaugeStudy {
  const width = kind === "angle" ? ((tolerance ?? 0) * Math.PI) / 180 : tolerance;
  try {
    return studyGauge(readings, tolerance === undefined ? {} : { tolerance: width! });
  } catch (error) {
    if (!(error instanceof GaugeStudyError)) throw error;
    throw new CliError(instrument === "" ? error.message : `${instrument}: ${error.message}`);
  }
}
