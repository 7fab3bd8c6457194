import { z } from "zod";
import { formatLength, type LengthUnit } from "../../core/quantity/index.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { openingShape } from "../../model/cell/opening-shape.js";
import {
  CELL_TURNS,
  GRID_STOCKS,
  LAP_WAYS,
  MOST_PANEL_CELLS,
  MOST_PANEL_SIDE,
  PANEL_DEFAULTS,
  type Panel,
} from "../../model/job/panel.js";
import { faultSentence } from "../faults.js";
import { angle, flag, length, number, word } from "../yaml/fields.js";
import type { YamlSource } from "../yaml/yaml-source.js";
import { ANGLE_SD_RULE, CELL_LIMITS, type CellSize, lengthLimits, MOST_ANGLE_SD } from "./limits.js";

const SECTION = "panel";
/** Limits of a lap's width, as shares of the strip's thickness: a narrower lap takes no strip, a wider one does not hold it. */
const LAP_SHARES = { least: 0.9, most: 1.5 } as const;

/** The panel of a job, `null` if the file has none. */
export function readPanel(
  source: YamlSource,
  units: LengthUnit,
  { size, walls }: Pick<Arrangement, "walls"> & { readonly size: CellSize },
): Panel | null {
  if (source.at([SECTION]) === undefined) return null;
  const read = source.take([SECTION], panelShape(units, size));
  if (!read) return null;
  const { "grid-stock": gridStock, laps, frame, ...rest } = read;
  const { "depth-scatter": depthSd, depth, ...more } = laps;
  const threeWay = openingShape(walls)?.kind === "triangular";
  requireFewCells(source, rest);
  requireFittingLap(source, laps.width, size.strip);
  if (threeWay) refuseUpright(source);
  return {
    ...rest,
    ...(threeWay && { diagonals: null, racked: 0 }),
    laps: { ...more, depth: depth ?? null, depthSd },
    gridStock,
    frame: frame ?? null,
  };
}

/** Keys that only a grid of upright and level strips has. */
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

function refuseUpright(source: YamlSource): void {
  for (const [key, fault] of Object.entries(UPRIGHT_ONLY)) {
    const value = source.at([SECTION, key]);
    if (value === undefined) continue;
    source.refuse([SECTION, key], faultSentence({ what: key, ...fault, value }), {
      example: "panel: { rows: 3, columns: 4 }",
    });
  }
}

function requireFewCells(source: YamlSource, { rows, columns }: { rows: number; columns: number }): void {
  if (rows * columns <= MOST_PANEL_CELLS) return;
  source.refuse(
    [SECTION, "columns"],
    faultSentence({
      what: "panel",
      problem: `it has ${rows} × ${columns} = ${rows * columns} cells`,
      rule: `at most ${MOST_PANEL_CELLS} are allowed`,
    }),
  );
}

function requireFittingLap(source: YamlSource, width: number, strip: number): void {
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

const count = (what: string) =>
  number(
    what,
    (value) => Number.isInteger(value) && value >= 1 && value <= MOST_PANEL_SIDE,
    `a panel has a whole number of them, from 1 to ${MOST_PANEL_SIDE}`,
  );

/** The shape of the key `panel`. Laps are as wide and borders as thick as the job's strip unless the file says otherwise. */
export const panelShape = (unit: LengthUnit, size: CellSize) =>
  z.strictObject({
    rows: count("rows"),
    columns: count("columns"),
    diagonals: word("diagonals", "way of laying the cells", CELL_TURNS).default("alternate"),
    border: panelBorderShape(unit, size),
    laps: panelLapsShape(unit, size),
    "grid-stock": word("grid-stock", "stock of the grid", GRID_STOCKS).default("same"),
    racked: angle("racked", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE).default(PANEL_DEFAULTS.racked),
    measured: panelMeasuredShape(unit, size),
    frame: panelFrameShape(unit, size).optional(),
  });

export const panelBorderShape = (unit: LengthUnit, size: CellSize) =>
  z
    .strictObject({
      thickness: length("thickness of the border", unit, "positive", lengthLimits(size).border).default(
        size.strip,
      ),
      turn: angle("turn of the border", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE).default(
        PANEL_DEFAULTS.borderTurn,
      ),
    })
    .prefault({});

export const panelLapsShape = (unit: LengthUnit, size: CellSize) =>
  z
    .strictObject({
      way: word("way", "way of placing laps", LAP_WAYS).default("stop"),
      bundled: flag("bundled").default(false),
      place: length("place of a lap", unit, "non-negative", lengthLimits(size).lap).default(
        PANEL_DEFAULTS.lapPlace,
      ),
      width: length("width of a lap", unit, "positive").default(size.strip),
      depth: length("depth of a lap", unit, "positive", CELL_LIMITS.depth).optional(),
      "depth-scatter": length("depth-scatter", unit, "non-negative", lengthLimits(size).lap).default(
        PANEL_DEFAULTS.lapDepthSd,
      ),
    })
    .prefault({});

export const panelMeasuredShape = (unit: LengthUnit, size: CellSize) =>
  z
    .strictObject({
      pieces: length("measuring of the pieces", unit, "non-negative", lengthLimits(size).fineness).default(
        PANEL_DEFAULTS.measuredPieces,
      ),
      openings: length(
        "measuring of the openings",
        unit,
        "non-negative",
        lengthLimits(size).fineness,
      ).default(PANEL_DEFAULTS.measuredOpenings),
    })
    .prefault({});

export const panelFrameShape = (unit: LengthUnit, size: CellSize) =>
  z.strictObject({
    width: length("width of the frame", unit, "positive", lengthLimits(size).frame),
    height: length("height of the frame", unit, "positive", lengthLimits(size).frame),
    play: length("play", unit, "positive", lengthLimits(size).play),
  });
