import { z } from "zod";
import type { LengthUnit } from "../../core/quantity/index.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { benchNames } from "../../model/cell/benches.js";
import {
  benchCost,
  JOB_DEFAULTS,
  STOCK_DEFAULTS,
  type Stock,
  TOLERANCE_GOAL,
  type ToleranceGoal,
  TRIAL_COSTS,
  type TrialCosts,
} from "../../model/job/job.js";
import type { Instrument, ReadingBench } from "../../model/readings.js";
import { faultSentence, nearest, unknownWord } from "../faults.js";
import { angle, length, number, risingLengths } from "../yaml/fields.js";
import type { KeyPath, YamlSource } from "../yaml/yaml-source.js";
import { ANGLE_SD_RULE, type CellSize, lengthLimits, MOST_ANGLE_SD } from "./limits.js";

/** The stock that pieces are cut from; `null` if the job does not give it. */
export function readStock(source: YamlSource, unit: LengthUnit, size: CellSize): Stock | null {
  if (source.at(["stock"]) === undefined) return null;
  return source.take(["stock"], stockShape(unit, size)) ?? null;
}

/** The goal for the cells; `null` if the job does not give it. */
export function readToleranceGoal(source: YamlSource): ToleranceGoal | null {
  if (source.at(["tolerances"]) === undefined) return null;
  const read = source.take(["tolerances"], toleranceGoalShape);
  return read ? { ...read, costs: { ...read.costs, cuts: read.costs.cuts ?? null } } : null;
}

const GROUP = "trial-costs";

/** Costs of trial cuts, with defaults for those that the job leaves out. */
export function readTrialCosts(
  source: YamlSource,
  instruments: readonly Instrument[],
  arrangement: Arrangement,
): TrialCosts {
  if (source.at([GROUP]) === undefined) return TRIAL_COSTS;
  const read = source.take([GROUP], trialCostsShape);
  if (read === undefined) return TRIAL_COSTS;
  const known: readonly ReadingBench[] = [...benchNames(arrangement), "cell", "none"];
  const benches = { ...TRIAL_COSTS.benches };
  for (const [name, path] of namesAmong(source, [GROUP, "benches"], "bench", known)) {
    const cost = source.take(path, benchCostShape);
    const usual = benchCost(TRIAL_COSTS, name);
    if (cost) benches[name] = { minutes: cost.minutes ?? usual.minutes, pieces: cost.pieces ?? usual.pieces };
  }
  const tools = instruments.map(({ name }) => name);
  const byInstrument = namesAmong(source, [GROUP, "instruments"], "instrument in this job", tools).map(
    ([name, path]): [string, number] => [name, source.take(path, readingCostShape) ?? 0],
  );
  return {
    ...TRIAL_COSTS,
    piece: read.piece ?? TRIAL_COSTS.piece,
    benches,
    instruments: Object.fromEntries(byInstrument),
  };
}

/** The entries of a group whose names are known; another name is noted as a fault. */
function namesAmong<T extends string>(
  source: YamlSource,
  path: KeyPath,
  kind: string,
  known: readonly T[],
): [T, KeyPath][] {
  return source
    .entries(path, `${String(path.at(-1))} of the trial costs`)
    .flatMap(([name, at]): [T, KeyPath][] => {
      const found = known.find((one) => one === name);
      if (found !== undefined) return [[found, at]];
      const [problem, rule] = unknownWord(name, kind, known);
      const meant = nearest(name, known) ?? known[0] ?? name;
      const example = `${meant}: ${path.at(-1) === "benches" ? "{ minutes: 2 }" : "0.5"}`;
      source.refuseKey(at, faultSentence({ what: kind, problem, rule, value: name }), example);
      return [];
    });
}

const chance = (what: string) =>
  number(
    what,
    (value) => value > 0 && value < 1,
    "it is a chance, above 0 and below 1: 0.95 for 19 times in 20",
  );

const cost = (what: string) =>
  number(
    what,
    (value) => value >= 1e-6 && value <= 1e6,
    "a cost is a number from 0.000001 to 1000000; leave it out for 1",
  );

/** Shape of the stock that pieces are cut from. */
export const stockShape = (unit: LengthUnit, size: CellSize) => {
  const limits = lengthLimits(size);
  return z.strictObject({
    lengths: risingLengths("lengths of the stock", unit, limits.stick).default([...STOCK_DEFAULTS.lengths]),
    kerf: length("kerf", unit, "non-negative", limits.kerf).default(STOCK_DEFAULTS.kerf),
    allowance: length("allowance", unit, "non-negative", limits.allowance).default(STOCK_DEFAULTS.allowance),
    ends: length("ends", unit, "non-negative", limits.ends).default(STOCK_DEFAULTS.ends),
    sure: chance("sure").default(STOCK_DEFAULTS.sure),
    mishaps: number(
      "mishaps",
      (value) => value >= 0 && value <= 0.9,
      "it is the share of pieces spoilt, from 0 to 0.9",
    ).default(STOCK_DEFAULTS.mishaps),
  });
};

/** Shape of the goal for the cells and of the costs of precision. */
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

/** Shape of the scatter (between cuts, between batches and in the grid) and of the limits. */
export const toleranceShapes = (unit: LengthUnit, size: CellSize) => {
  const limits = lengthLimits(size);
  return {
    scatter: z
      .strictObject({
        angle: angle("scatter of angles", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE).default(
          JOB_DEFAULTS.betweenCutAngle,
        ),
        length: length("scatter of lengths", unit, "non-negative", limits.scatter).default(
          JOB_DEFAULTS.betweenCutLength,
        ),
        thickness: length("scatter of thickness", unit, "non-negative", limits.thickness).default(
          JOB_DEFAULTS.betweenCutThickness,
        ),
      })
      .prefault({}),
    thickness: z
      .strictObject({
        "trusted-to": length("trusted-to", unit, "non-negative", limits.thickness).default(
          JOB_DEFAULTS.batchThickness,
        ),
      })
      .prefault({}),
    grid: z
      .strictObject({
        offset: length("offset in the grid", unit, "non-negative", limits.scatter).default(
          JOB_DEFAULTS.gridOffset,
        ),
        turn: angle("turn in the grid", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE).default(
          JOB_DEFAULTS.gridTurn,
        ),
      })
      .prefault({}),
    limits: z
      .strictObject({
        gap: length("gap limit", unit, "positive", limits.closing).default(JOB_DEFAULTS.gapLimit),
        snug: length("snug limit", unit, "positive", limits.closing).default(JOB_DEFAULTS.snugLimit),
      })
      .prefault({}),
  };
};

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

const readingCostShape = minutes("minutes of a reading");
