import { z } from "zod";
import type { LengthUnit } from "../../quantity/index.js";
import { JOB_DEFAULTS } from "../job.js";
import { angle, length } from "./fields.js";

/** What varies from cut to cut, from batch to batch and in the grid, and what is good enough. */
export const toleranceShapes = (unit: LengthUnit) => ({
  scatter: z
    .strictObject({
      angle: angle("scatter of angles", "non-negative").default(JOB_DEFAULTS.scatterAngle),
      length: length("scatter of lengths", unit, "non-negative").default(JOB_DEFAULTS.scatterLength),
      thickness: length("scatter of thickness", unit, "non-negative").default(JOB_DEFAULTS.scatterThickness),
    })
    .prefault({}),
  thickness: z
    .strictObject({
      "trusted-to": length("trusted-to", unit, "non-negative").default(JOB_DEFAULTS.batchThickness),
    })
    .prefault({}),
  grid: z
    .strictObject({
      offset: length("offset in the grid", unit, "non-negative").default(JOB_DEFAULTS.gridOffset),
      turn: angle("turn in the grid", "non-negative").default(JOB_DEFAULTS.gridTurn),
    })
    .prefault({}),
  limits: z
    .strictObject({
      gap: length("gap limit", unit, "positive").default(JOB_DEFAULTS.gapLimit),
      snug: length("snug limit", unit, "positive").default(JOB_DEFAULTS.snugLimit),
    })
    .prefault({}),
});
