import { z } from "zod";
import type { LengthUnit } from "../../quantity/index.js";
import { STOCK_DEFAULTS } from "../stock.js";
import { TOLERANCE_GOAL } from "../tolerance-goal.js";
import { length, number, risingLengths } from "./fields.js";

const chance = (what: string) =>
  number(
    what,
    (value) => value > 0 && value < 1,
    "it is a chance, above 0 and below 1: 0.95 for 19 times in 20",
  );

const cost = (what: string) =>
  number(what, (value) => value > 0, "a cost is a number above zero; leave it out for 1");

/** What the pieces are cut from. */
export const stockShape = (unit: LengthUnit) =>
  z.strictObject({
    lengths: risingLengths("lengths of the stock", unit).default([...STOCK_DEFAULTS.lengths]),
    kerf: length("kerf", unit, "non-negative").default(STOCK_DEFAULTS.kerf),
    allowance: length("allowance", unit, "non-negative").default(STOCK_DEFAULTS.allowance),
    ends: length("ends", unit, "non-negative").default(STOCK_DEFAULTS.ends),
    sure: chance("sure").default(STOCK_DEFAULTS.sure),
    mishaps: number(
      "mishaps",
      (value) => value >= 0 && value <= 0.9,
      "it is the share of pieces spoilt, from 0 to 0.9",
    ).default(STOCK_DEFAULTS.mishaps),
  });

/** What is wanted of the cells and what precision costs. */
export const toleranceGoalShape = z.strictObject({
  chance: chance("chance").default(TOLERANCE_GOAL.chance),
  costs: z
    .strictObject({
      ramps: cost("ramps").default(TOLERANCE_GOAL.costs.ramps),
      stops: cost("stops").default(TOLERANCE_GOAL.costs.stops),
      thickness: cost("thickness").default(TOLERANCE_GOAL.costs.thickness),
      grid: cost("grid").default(TOLERANCE_GOAL.costs.grid),
      cuts: cost("cuts").optional(),
    })
    .prefault({}),
  finest: number(
    "finest",
    (value) => value > 0 && value <= 1,
    "it is a share of today's tolerance, above 0 and at most 1",
  ).default(TOLERANCE_GOAL.finest),
  loosest: number(
    "loosest",
    (value) => value >= 1 && value <= 100,
    "it is a multiple of today's tolerance, from 1 to 100",
  ).default(TOLERANCE_GOAL.loosest),
});
