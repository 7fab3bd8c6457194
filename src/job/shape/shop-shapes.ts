import { z } from "zod";
import { FENCES } from "../../cutting/shop.js";
import { LARGEST_ANGLE_ERROR } from "../../cutting/error-layout.js";
import type { LengthUnit } from "../../quantity/index.js";
import { JOB_DEFAULTS } from "../job.js";
import { angle, flag, length, list, risingLengths, text, word } from "./fields.js";

const SQUARE = Math.PI / 2;
const LEAN_LIMIT = "a ramp leans by at most 10° either way, so give how far it is out of square to its bed";

export const jigShape = (unit: LengthUnit) =>
  z.strictObject({
    ramp: angle("ramp", "positive", SQUARE, "a jig's angle is counted from a square cut and stays below 90°"),
    fence: word("fence", "place for a fence", FENCES).default("centred"),
    "trusted-to": angle("trusted-to", "non-negative").default(JOB_DEFAULTS.rampTrustedTo),
    shims: z
      .strictObject({
        base: length("base of the shims", unit, "positive"),
        leaves: risingLengths("leaves", unit),
      })
      .optional(),
    locked: flag("locked").default(false),
    lean: angle("lean", "any", LARGEST_ANGLE_ERROR + 1e-12, LEAN_LIMIT).optional(),
    "lean-trusted-to": angle(
      "lean-trusted-to",
      "non-negative",
      LARGEST_ANGLE_ERROR + 1e-12,
      LEAN_LIMIT,
    ).optional(),
    rolled: flag("rolled").optional(),
  });

export const setUpShape = (unit: LengthUnit) =>
  z.strictObject({
    jig: text("jig"),
    cuts: list(text("cuts")),
    stop: z
      .strictObject({
        "trusted-to": length("trusted-to", unit, "non-negative").default(JOB_DEFAULTS.stopTrustedTo),
        step: length("step", unit, "positive").optional(),
        locked: flag("locked").default(false),
      })
      .optional(),
  });
