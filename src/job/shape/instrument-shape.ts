import { z } from "zod";
import type { LengthUnit } from "../../quantity/index.js";
import { PLACES, QUANTITIES } from "../../readings/instrument.js";
import { angle, length, oneOrMore, risingLengths, word } from "./fields.js";

export const instrumentShape = (unit: LengthUnit) =>
  z.strictObject({
    reads: oneOrMore("reads", word("reads", "quantity", QUANTITIES)),
    reach: oneOrMore("reach", word("reach", "place along a joint", PLACES)).optional(),
    leaves: risingLengths("leaves", unit).optional(),
    // What these are in depends on what the instrument reads.
    resolution: z.unknown().optional(),
    repeatability: z.unknown().optional(),
    bias: z.unknown().optional(),
    "bias-trusted-to": z.unknown().optional(),
  });

/** Resolution, repeatability and bias of an instrument that reads angles, or lengths. */
export const finenessShapes = (ofAngles: boolean, unit: LengthUnit) => ({
  resolution: ofAngles
    ? angle("resolution", "positive").optional()
    : length("resolution", unit, "positive").optional(),
  repeatability: ofAngles
    ? angle("repeatability", "non-negative").default(0)
    : length("repeatability", unit, "non-negative").default(0),
  bias: ofAngles ? angle("bias", "any").default(0) : length("bias", unit, "any").default(0),
  biasTrustedTo: ofAngles
    ? angle("bias-trusted-to", "non-negative").default(0)
    : length("bias-trusted-to", unit, "non-negative").default(0),
});
