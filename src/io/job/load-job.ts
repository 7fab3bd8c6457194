import { join } from "node:path";
import type { Arrangement } from "../../model/cell/arrangement.js";
import type { Job } from "../../model/job/job.js";
import type { Place, ReadQuantity } from "../../model/readings.js";
import type { Jig, SetUp } from "../../model/shop.js";
import { jobFile } from "../files.js";
import { YamlSource } from "../yaml/yaml-source.js";
import { readAsCut } from "./as-cut.js";
import { readCellKeys } from "./cell.js";
import { readStock, readToleranceGoal, readTrialCosts, toleranceShapes } from "./goals.js";
import { readInstruments } from "./instruments.js";
import { readPanel } from "./panel.js";
import { withRecords } from "./records.js";
import { costsShape, lengthsShape, mistakesShape, readReferences, readRounds } from "./rounds.js";
import { readSeason } from "./season.js";
import { readJigs, readSetUps, SAME_LABEL, setUpShape } from "./shop.js";

/**
 * Loads a job file, YAML or JSON. Lengths without a unit are in the job's `units`, angles without a unit in degrees; the result is in mm and rad.
 *
 * @param path the job's folder, or the file itself
 * @throws JobError with everything that is wrong in the file
 * @example
 * loadJob("data/alcove-screen").opening // 60
 */
export function loadJob(path: string): Job {
  return readJob(YamlSource.read(jobFile(path)));
}

/** A length: a text with its unit such as `"60 mm"` or `"2 3/8 in"`, or a number in the job's units. */
export type LengthData = string | number;
/** An angle: a text with its unit such as `"45 deg"`, or a number in degrees. */
export type AngleData = string | number;

/**
 * A job as plain data, under the keys of a job file; docs/job-files.md describes them all. A job needs `pattern`, `opening` and `strip`; to be
 * calibrated it needs `jigs`, `set-ups` and `instruments` too.
 */
export interface JobData {
  readonly title?: string;
  readonly units?: "mm" | "in";
  readonly pattern: string;
  readonly opening: LengthData;
  readonly strip: LengthData;
  readonly depth?: LengthData;
  readonly jigs?: Readonly<Record<string, JigData>>;
  readonly "set-ups"?: Readonly<Record<string, SetUpData>>;
  readonly instruments?: Readonly<Record<string, InstrumentData>>;
  /** Every other key of a job file. */
  readonly [key: string]: unknown;
}

/** A jig as a job file writes it. */
export interface JigData {
  readonly ramp: AngleData;
  readonly "trusted-to"?: AngleData;
  readonly locked?: boolean;
  readonly [key: string]: unknown;
}

/** A set-up as a job file writes it. */
export interface SetUpData {
  readonly jig: string;
  readonly cuts: readonly string[];
  readonly stop?: {
    readonly "trusted-to"?: LengthData;
    readonly step?: LengthData;
    readonly locked?: boolean;
  };
}

/** An instrument as a job file writes it; lengths and angles as people write them. */
export interface InstrumentData {
  readonly reads: ReadQuantity | readonly ReadQuantity[];
  readonly reach?: Place | readonly Place[];
  readonly leaves?: readonly LengthData[];
  /** This and the next keys are angles if the instrument reads angles, otherwise lengths. */
  readonly resolution?: LengthData | AngleData;
  readonly repeatability?: LengthData | AngleData;
  readonly bias?: LengthData | AngleData;
  readonly "bias-trusted-to"?: LengthData | AngleData;
}

/**
 * Makes a job from plain data, with the checks and messages of a job file. The result is in mm and rad.
 *
 * @param folder folder of the files that the data name (`records`, a pattern of your own); default: the working directory
 * @throws JobError with everything that is wrong, each fault with its `field`
 *
 * @example
 * const { opening, strip, instruments } = makeJob({
 *   pattern: "asanoha-square",
 *   opening: "2 3/8 in",
 *   strip: 4,
 *   instruments: { feeler: { reads: "gap", reach: "widest", leaves: [0.05, 0.1, 0.2] } },
 * });
 * [opening, strip, instruments.length]; // [60.325, 4, 1]
 */
export function makeJob(data: JobData, { folder = "." }: { readonly folder?: string } = {}): Job {
  return readJob(YamlSource.of(data, join(folder, "job")));
}

function readJob(source: YamlSource): Job {
  source.requireTopKeys();
  const { keys, arrangement } = readCellKeys(source);
  const { units } = keys;
  const asCut = readAsCut(source, units, arrangement);
  const given = readJigs(source, units, keys);
  const cut = readSetUps(source, setUpShape(units, keys), given, arrangement);
  const { jigs, setUps, recorded } = withRecords(
    source,
    units,
    labelledJigs(given, cut, arrangement),
    cut,
    keys,
  );
  const instruments = readInstruments(source, units, keys);
  const shapes = toleranceShapes(units, keys);
  const taken = {
    betweenCutSd: source.take(["scatter"], shapes.scatter),
    thickness: source.take(["thickness"], shapes.thickness),
    grid: source.take(["grid"], shapes.grid),
    limits: source.take(["limits"], shapes.limits),
    mistakes: source.take(["mistakes"], mistakesShape),
    lengths: source.take(["lengths"], lengthsShape),
    costs: source.take(["costs"], costsShape),
  };
  const rounds = readRounds(source, units, { jigs, setUps, size: keys });
  const references = readReferences(source, arrangement);
  const trialCosts = readTrialCosts(source, instruments, arrangement);
  const panel = readPanel(source, units, { size: keys, walls: arrangement.walls });
  const season = readSeason(source, units);
  const stock = readStock(source, units, keys);
  const toleranceGoal = readToleranceGoal(source);
  const { thickness, ...goals } = source.requireRead(taken);
  return {
    file: source.file,
    ...keys,
    asCut,
    jigs: [...jigs.values()].filter((jig) => jig !== null),
    setUps,
    instruments,
    batchThickness: thickness["trusted-to"],
    ...goals,
    rounds,
    references,
    trialCosts,
    panel,
    ...(recorded && { recorded }),
    ...(season && { season }),
    ...(stock && { stock }),
    ...(toleranceGoal && { toleranceGoal }),
  };
}

/** Ramps closer than this to the cut's angle are not changed, rad. */
const SAME_ANGLE = 1e-9;

/** The jigs with the exact angle that their label rounds: `36.87 deg` in a pattern whose cut is at 36.8699°. */
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
