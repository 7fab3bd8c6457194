import { z } from "zod";
import type { LengthUnit } from "../../quantity/index.js";
import { CELL_TURNS, GRID_STOCKS, LAP_WAYS, MOST_PANEL_SIDE, PANEL_DEFAULTS } from "../panel.js";
import { angle, flag, length, number, word } from "./fields.js";

const count = (what: string) =>
  number(
    what,
    (value) => Number.isInteger(value) && value >= 1 && value <= MOST_PANEL_SIDE,
    `a panel has a whole number of them, from 1 to ${MOST_PANEL_SIDE}`,
  );

/** What may stand in a panel. @param strip the job's strip, mm: laps are as wide and borders as thick as it unless the file says otherwise. */
export const panelShape = (unit: LengthUnit, strip: number) =>
  z.strictObject({
    rows: count("rows"),
    columns: count("columns"),
    diagonals: word("diagonals", "way of laying the cells", CELL_TURNS).default("alternate"),
    border: panelBorderShape(unit, strip),
    laps: panelLapsShape(unit, strip),
    "grid-stock": word("grid-stock", "stock of the grid", GRID_STOCKS).default("same"),
    racked: angle("racked", "non-negative").default(PANEL_DEFAULTS.racked),
    measured: panelMeasuredShape(unit),
    frame: panelFrameShape(unit).optional(),
  });

export const panelBorderShape = (unit: LengthUnit, strip: number) =>
  z
    .strictObject({
      thickness: length("thickness of the border", unit, "positive").default(strip),
      turn: angle("turn of the border", "non-negative").default(PANEL_DEFAULTS.borderTurn),
    })
    .prefault({});

export const panelLapsShape = (unit: LengthUnit, strip: number) =>
  z
    .strictObject({
      way: word("way", "way of placing laps", LAP_WAYS).default("stop"),
      bundled: flag("bundled").default(false),
      place: length("place of a lap", unit, "non-negative").default(PANEL_DEFAULTS.lapPlace),
      width: length("width of a lap", unit, "positive").default(strip),
      depth: length("depth of a lap", unit, "positive").optional(),
      "depth-scatter": length("depth-scatter", unit, "non-negative").default(PANEL_DEFAULTS.lapDepthScatter),
    })
    .prefault({});

export const panelMeasuredShape = (unit: LengthUnit) =>
  z
    .strictObject({
      pieces: length("measuring of the pieces", unit, "non-negative").default(PANEL_DEFAULTS.measuredPieces),
      openings: length("measuring of the openings", unit, "non-negative").default(
        PANEL_DEFAULTS.measuredOpenings,
      ),
    })
    .prefault({});

export const panelFrameShape = (unit: LengthUnit) =>
  z.strictObject({
    width: length("width of the frame", unit, "positive"),
    height: length("height of the frame", unit, "positive"),
    play: length("play", unit, "positive"),
  });
