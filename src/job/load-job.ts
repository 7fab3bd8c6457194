import { jobFile } from "./file/find-file.js";
import { JobSource } from "./file/job-source.js";
import type { Job } from "./job.js";
import { labelledJigs } from "./sections/labelled-jigs.js";
import { readAsCut } from "./sections/read-as-cut.js";
import { readCellKeys } from "./sections/read-cell-keys.js";
import { readStock, readToleranceGoal } from "./sections/read-goals.js";
import { readInstruments } from "./sections/read-instruments.js";
import { readJigs } from "./sections/read-jigs.js";
import { readPanel } from "./sections/read-panel.js";
import { withRecords } from "./sections/read-records.js";
import { readReferences, readRounds } from "./sections/read-rounds.js";
import { readSeason } from "./sections/read-season.js";
import { readSetUps } from "./sections/read-set-ups.js";
import { readTrialCosts } from "./sections/read-trial-costs.js";
import { requireKeys } from "./sections/require-keys.js";
import { costsShape, lengthsShape, mistakesShape } from "./shape/round-shapes.js";
import { toleranceShapes } from "./shape/tolerance-shapes.js";

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
    scatter: scatter!,
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
