import { z } from "zod";
import { LARGEST_ANGLE_ERROR } from "../../cutting/error-layout.js";
import { angle, length } from "./fields.js";

/** Bare numbers here are mm and degrees whatever the job's `units`, as in every list of as-cut errors. */
const UNIT = "mm";
const LIMIT = "an error is at most 10° either way, so give the error and not the angle itself";

const angleError = (what: string) => angle(what, "any", LARGEST_ANGLE_ERROR + 1e-12, LIMIT).optional();

export const cutErrors = z.strictObject({
  angle: angleError("angle error"),
  axial: length("axial error", UNIT, "any").optional(),
  lean: angleError("lean").optional(),
});

export const wallErrors = z.strictObject({
  turn: angleError("turn of the wall"),
  offset: length("offset of the wall", UNIT, "any").optional(),
});

export const asCutGroups = z.strictObject({ pieces: z.unknown().optional(), walls: z.unknown().optional() });

export const pieceGroups = z.strictObject({
  thickness: length("thickness error", UNIT, "any").optional(),
  cuts: z.unknown().optional(),
});
