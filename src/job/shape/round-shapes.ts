import { z } from "zod";
import type { LengthUnit } from "../../quantity/index.js";
import { COSTS } from "../costs.js";
import { LENGTHS } from "../job.js";
import { angle, length, number, word } from "./fields.js";

/** How well a shim's turn or a stop's move is known where the job does not say; rad and mm, common practice, no source. */
const SHIM_TRUSTED_TO = (0.05 * Math.PI) / 180;
const STOP_TRUSTED_TO = 0.02;

/** A ramp turned between rounds, by an angle or by a shim (positive: steeper). */
export const rampMoveShape = (unit: LengthUnit) =>
  z.strictObject({
    by: angle("by", "any").optional(),
    shim: length("shim", unit, "any").optional(),
    "trusted-to": angle("trusted-to", "non-negative").default(SHIM_TRUSTED_TO),
  });

/** A stop moved between rounds (positive: longer). */
export const stopMoveShape = (unit: LengthUnit) =>
  z.strictObject({
    by: length("by", unit, "any"),
    "trusted-to": length("trusted-to", unit, "non-negative").default(STOP_TRUSTED_TO),
  });

export const roundShape = z.strictObject({
  ramps: z.unknown().optional(),
  stops: z.unknown().optional(),
});

export const referenceShape = z.strictObject({ "trusted-to": angle("trusted-to", "non-negative") });

const MOST_MISTAKES = 0.5;

/** Share of readings that may be gross mistakes. */
export const mistakesShape = number(
  "mistakes",
  (share) => share >= 0 && share <= MOST_MISTAKES,
  "it is the share of readings that may be gross mistakes, from 0 to 0.5",
).default(0);

export const lengthsShape = word("lengths", "way of cutting to length", LENGTHS).default("as-cut");

const cost = (what: string, otherwise: number, least = 0) =>
  number(what, (value) => value >= least, `it is counted in scrapped pieces and at least ${least}`).default(
    otherwise,
  );

export const costsShape = z
  .strictObject({
    "open-cell": cost("open-cell", COSTS.openCell),
    "tight-cell": cost("tight-cell", COSTS.tightCell),
    gap: cost("gap", COSTS.gap),
    adjusting: cost("adjusting", COSTS.adjusting),
    trial: cost("trial", COSTS.trial),
    cells: number("cells", (value) => value >= 1, "it is the number of cells to be cut, 1 or more").default(
      COSTS.cells,
    ),
  })
  .prefault({})
  .transform(({ "open-cell": openCell, "tight-cell": tightCell, ...rest }) => ({
    openCell,
    tightCell,
    ...rest,
  }));
