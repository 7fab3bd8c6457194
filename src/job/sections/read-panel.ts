import { formatLength, type LengthUnit } from "../../quantity/index.js";
import type { JobSource } from "../file/job-source.js";
import { MOST_PANEL_CELLS, type Panel } from "../panel.js";
import { panelShape } from "../shape/panel-shape.js";
import { faultSentence } from "../unfit.js";

const SECTION = "panel";
/** A lap this much narrower than the strip takes no strip, one this much wider holds none; shares of its thickness. */
const LAP_SHARES = { least: 0.9, most: 1.5 } as const;

/** The panel of a job, `null` where the file has none. */
export function readPanel(source: JobSource, units: LengthUnit, strip: number): Panel | null {
  if (source.at([SECTION]) === undefined) return null;
  const read = source.take([SECTION], panelShape(units, strip));
  if (!read) return null;
  const { "grid-stock": gridStock, laps, frame, ...rest } = read;
  const { "depth-scatter": depthScatter, depth, ...more } = laps;
  requireFewCells(source, rest);
  requireFittingLap(source, laps.width, strip);
  return {
    ...rest,
    laps: { ...more, depth: depth ?? null, depthScatter },
    gridStock,
    frame: frame ?? null,
  };
}

function requireFewCells(source: JobSource, { rows, columns }: { rows: number; columns: number }): void {
  if (rows * columns <= MOST_PANEL_CELLS) return;
  source.refuse(
    [SECTION, "columns"],
    faultSentence({
      what: "panel",
      problem: `it has ${rows} × ${columns} = ${rows * columns} cells`,
      rule: `at most ${MOST_PANEL_CELLS} are reckoned with`,
    }),
  );
}

function requireFittingLap(source: JobSource, width: number, strip: number): void {
  if (width >= LAP_SHARES.least * strip && width <= LAP_SHARES.most * strip) return;
  source.refuse(
    [SECTION, "laps", "width"],
    faultSentence({
      what: "width of a lap",
      problem: "no strip of this job sits in it",
      rule: `it lies between ${LAP_SHARES.least} and ${LAP_SHARES.most} times the strip`,
      value: source.at([SECTION, "laps", "width"]),
    }),
    { example: `width: ${formatLength(strip, { unit: "mm" })}` },
  );
}
