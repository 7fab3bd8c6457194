import type { Arrangement } from "../../lattice/arrangement.js";
import { openingShape } from "../../lattice/opening-shape.js";
import { formatLength, type LengthUnit } from "../../quantity/index.js";
import type { JobSource } from "../file/job-source.js";
import { MOST_PANEL_CELLS, type Panel } from "../panel.js";
import { panelShape } from "../shape/panel-shape.js";
import { faultSentence } from "../unfit.js";

const SECTION = "panel";
/** A lap this much narrower than the strip takes no strip, one this much wider holds none; shares of its thickness. */
const LAP_SHARES = { least: 0.9, most: 1.5 } as const;

/** The panel of a job, `null` where the file has none. */
export function readPanel(
  source: JobSource,
  units: LengthUnit,
  { strip, walls }: Pick<Arrangement, "strip" | "walls">,
): Panel | null {
  if (source.at([SECTION]) === undefined) return null;
  const read = source.take([SECTION], panelShape(units, strip));
  if (!read) return null;
  const { "grid-stock": gridStock, laps, frame, ...rest } = read;
  const { "depth-scatter": depthScatter, depth, ...more } = laps;
  const threeWay = openingShape(walls)?.kind === "triangular";
  requireFewCells(source, rest);
  requireFittingLap(source, laps.width, strip);
  if (threeWay) refuseUpright(source);
  return {
    ...rest,
    ...(threeWay && { diagonals: null, racked: 0 }),
    laps: { ...more, depth: depth ?? null, depthScatter },
    gridStock,
    frame: frame ?? null,
  };
}

/** What only a grid of upright and level strips has. */
const UPRIGHT_ONLY = {
  diagonals: {
    problem: "the cells of a three-way grid cannot be laid otherwise",
    rule: "every second one stands on its point; leave the key out",
  },
  racked: {
    problem: "a three-way grid cannot rack",
    rule: "its triangles hold each other, and where its border is out of square its laps are off, which `laps: { place }` describes; leave the key out",
  },
} as const;

function refuseUpright(source: JobSource): void {
  for (const [key, fault] of Object.entries(UPRIGHT_ONLY)) {
    const value = source.at([SECTION, key]);
    if (value === undefined) continue;
    source.refuse([SECTION, key], faultSentence({ what: key, ...fault, value }), {
      example: "panel: { rows: 3, columns: 4 }",
    });
  }
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
