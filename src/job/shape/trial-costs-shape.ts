import { z } from "zod";
import { number } from "./fields.js";

const MOST_MINUTES = 10_000;
const MOST_PIECES = 1000;

const minutes = (what: string) =>
  number(
    what,
    (value) => value >= 0 && value <= MOST_MINUTES,
    `it is counted in minutes, from 0 to ${MOST_MINUTES}`,
  );

export const trialCostsShape = z.strictObject({
  piece: minutes("piece").optional(),
  benches: z.unknown().optional(),
  instruments: z.unknown().optional(),
});

export const benchCostShape = z.strictObject({
  minutes: minutes("minutes").optional(),
  pieces: number(
    "pieces",
    (value) => Number.isInteger(value) && value >= 1 && value <= MOST_PIECES,
    "a trial takes a whole number of pieces, 1 or more",
  ).optional(),
});

export const readingCostShape = minutes("minutes of a reading");
