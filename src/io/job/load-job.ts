import { z } from "zod";
import type { Arrangement } from "../../model/cell/arrangement.js";
import type { Job } from "../../model/job/job.js";
import type { Jig, SetUp } from "../../model/shop.js";
import { jobFile } from "../files.js";
import { keysKnown } from "../yaml/job-examples.js";
import { JobSource } from "../yaml/job-source.js";
import { readAsCut } from "./as-cut.js";
import { readCellKeys } from "./cell.js";
import { readStock, readToleranceGoal, readTrialCosts, toleranceShapes } from "./goals.js";
import { readInstruments } from "./instruments.js";
import { readPanel } from "./panel.js";
import { withRecords } from "./records.js";
import { costsShape, lengthsShape, mistakesShape, readReferences, readRounds } from "./rounds.js";
import { readSeason } from "./season.js";
import { readJigs, readSetUps, SAME_LABEL } from "./shop.js";

/**
 * Loads a job file, YAML or JSON. Bare lengths are in the job's `units`, bare angles in degrees; what comes out is in mm and rad.
 *
 * @param path the job's folder, or the file itself
 * @throws JobError with everything that is wrong in the file
 */
export function loadJob(path: string): Job {
  const source = new JobSource(jobFile(path));
  requireKeys(source);
  const { keys, arrangement } = readCellKeys(source);
  const { units } = keys;
  const asCut = readAsCut(source, arrangement);
  const given = readJigs(source, units);
  const cut = readSetUps(source, units, given, arrangement);
  const { jigs, setUps } = withRecords(source, units, labelledJigs(given, cut, arrangement), cut, keys);
  const instruments = readInstruments(source, units);
  const shapes = toleranceShapes(units);
  const scatter = source.take(["scatter"], shapes.scatter);
  const thickness = source.take(["thickness"], shapes.thickness);
  const grid = source.take(["grid"], shapes.grid);
  const limits = source.take(["limits"], shapes.limits);
  const rounds = readRounds(source, units, jigs, setUps);
  const references = readReferences(source, arrangement);
  const mistakes = source.take(["mistakes"], mistakesShape);
  const lengths = source.take(["lengths"], lengthsShape);
  const costs = source.take(["costs"], costsShape);
  const trialCosts = readTrialCosts(source, instruments, arrangement);
  const panel = readPanel(source, units, { strip: keys.strip, walls: arrangement.walls });
  const season = readSeason(source, units);
  const stock = readStock(source, units);
  const toleranceGoal = readToleranceGoal(source);
  source.requireFaultless();
  return {
    file: source.file,
    ...keys,
    asCut,
    jigs: [...jigs.values()].filter((jig) => jig !== null),
    setUps,
    instruments,
    betweenCutSd: scatter!,
    batchThickness: thickness!["trusted-to"],
    grid: grid!,
    limits: limits!,
    ...{ rounds, references },
    mistakes: mistakes!,
    lengths: lengths!,
    costs: costs!,
    trialCosts,
    panel,
    ...(season && { season }),
    ...(stock && { stock }),
    ...(toleranceGoal && { toleranceGoal }),
  };
}

/** Notes the keys at the top of the file that no job has. Nothing else can be read when the file is not a group of keys. */
export function requireKeys(source: JobSource): void {
  const anything = z.unknown().optional();
  const shape = z.strictObject(Object.fromEntries(keysKnown([]).map((key) => [key, anything])));
  const top = source.at([]);
  source.take([], shape);
  if (typeof top !== "object" || top === null || Array.isArray(top)) source.requireFaultless();
}

/** Ramps that differ from the cut's angle by less than this are taken as they are, rad. */
const SAME_ANGLE = 1e-9;

/** The jigs with the angle that their label stands for: `36.87 deg` in a pattern whose cut is at 36.8699°. */
export function labelledJigs(
  jigs: ReadonlyMap<string, Jig | null>,
  setUps: readonly SetUp[],
  { pieces }: Arrangement,
): Map<string, Jig | null> {
  const cuts = pieces.flatMap((piece) => piece.cuts);
  return new Map(
    [...jigs].map(([name, jig]): [string, Jig | null] => {
      const groups = setUps.filter((setUp) => setUp.jig === name).flatMap((setUp) => setUp.cuts);
      const angle = cuts.find(({ group }) => groups.includes(group))?.jigAngle;
      if (jig === null || angle === undefined) return [name, jig];
      const off = Math.abs(jig.ramp - angle);
      return [name, off > SAME_ANGLE && off <= SAME_LABEL ? { ...jig, ramp: angle } : jig];
    }),
  );
}
