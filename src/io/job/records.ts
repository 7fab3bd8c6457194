import { z } from "zod";
import { present } from "../../core/numeric/dense.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import type { Job } from "../../model/job/job.js";
import type { RecordedPrior } from "../../model/recorded-prior.js";
import type { Jig, SetUp } from "../../model/shop.js";
import { degreesText, faultSentence, JobError } from "../faults.js";
import { inJobFolder } from "../files.js";
import { cellOfRecord, type JigRecord, type RampRecord, WIDEN, type Widen } from "../records/jig-record.js";
import { loadRecord } from "../records/load-record.js";
import { angle, length, oneOrMore, text } from "../yaml/fields.js";
import { type KeyPath, YamlSource } from "../yaml/yaml-source.js";
import { ANGLE_SD_RULE, type CellSize, lengthLimits, MOST_ANGLE_SD } from "./limits.js";
import { recordedTogether, withMoments } from "./recorded-together.js";

/** The cell that a stop's record must belong to. */
export interface RecordedCell {
  readonly opening: number;
  readonly strip: number;
  readonly pattern: string;
  readonly patternSizes: Readonly<Record<string, number>>;
}

const recordsShape = oneOrMore("records", text("records"));

export const widenShape = (unit: LengthUnit, size: CellSize) =>
  z
    .strictObject({
      ramps: angle("widening of ramps", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE).default(WIDEN.ramps),
      stops: length("widening of stops", unit, "non-negative", lengthLimits(size).stop).default(WIDEN.stops),
    })
    .prefault({});

type Jigs = ReadonlyMap<string, Jig | null>;

/** The jigs and set-ups. If a record of the job covers one, its prior comes from the record instead of from `trusted-to`. */
export function withRecords(
  source: YamlSource,
  unit: LengthUnit,
  jigs: Jigs,
  setUps: readonly SetUp[],
  cell: RecordedCell,
): { jigs: Jigs; setUps: readonly SetUp[]; recorded?: RecordedPrior } {
  const widen = source.take(["widen"], widenShape(unit, cell)) ?? WIDEN;
  if (source.at(["records"]) === undefined) return { jigs, setUps };
  const files = source.take(["records"], recordsShape) ?? [];
  const read = files.flatMap((name, i): Named[] => {
    const path = ["records", i];
    const record = recordIn(source, path, name);
    return record ? [{ name, path, record }] : [];
  });
  refuseTwice(source, read);
  const singly = {
    jigs: new Map(
      [...jigs].map(([name, jig]): [string, Jig | null] => [
        name,
        jig && recordedJig(source, jig, read, widen),
      ]),
    ),
    setUps: setUps.map((setUp) => recordedStop(setUp, read, widen, cell)),
  };
  const recorded = recordedTogether(read, singly, widen);
  return recorded === null ? singly : { ...withMoments(singly, recorded), recorded };
}

/** The files of the records that a job names, as far as they lie in its folder. */
export function recordFiles(job: Pick<Job, "file">): string[] {
  const names = YamlSource.read(job.file).take(["records"], recordsShape.optional()) ?? [];
  return names.flatMap((name) => inJobFolder(job.file, name) ?? []);
}

interface Named {
  readonly name: string;
  readonly path: KeyPath;
  readonly record: JigRecord;
}

function recordIn(source: YamlSource, path: KeyPath, name: string): JigRecord | null {
  const file = inJobFolder(source.file, name);
  if (file === null) {
    const rule = "a record lies in the job's folder, and is named by its path in that folder";
    const problem = "it leads outside the job's folder";
    source.refuse(path, faultSentence({ what: "records", problem, rule, value: name }));
    return null;
  }
  try {
    return loadRecord(file);
  } catch (error) {
    if (!(error instanceof JobError)) throw error;
    const [first] = error.faults;
    const missing = first!.line === 0;
    const problem = missing ? "it cannot be read" : `its line ${first!.line} is wrong`;
    const rule = `${first!.sentence.replace(/\.$/, "").replace(/^[A-Z]/, (letter) => letter.toLowerCase())}; a record is what “sukima record” writes`;
    source.refuse(path, faultSentence({ what: "records", problem, rule, value: name }));
    return null;
  }
}

function refuseTwice(source: YamlSource, read: readonly Named[]): void {
  for (const [i, { record, path, name }] of read.entries()) {
    const jigsOf = (one: JigRecord): Set<string> => new Set([...one.ramps.keys(), ...one.leans.keys()]);
    for (const jig of jigsOf(record)) {
      const earlier = read.slice(0, i).find((one) => jigsOf(one.record).has(jig));
      if (earlier === undefined) continue;
      const problem = `${jig} is also in ${earlier.name}`;
      source.refuse(
        path,
        faultSentence({ what: "records", problem, rule: "name one record for each jig", value: name }),
      );
    }
  }
}

/** Tolerance within which a ramp must agree with its record's label, rad. */
const SAME_ANGLE = 1e-6;
const SAME_LENGTH = 1e-6;

function recordedJig(source: YamlSource, given: Jig, read: readonly Named[], widen: Widen): Jig {
  const jig = recordedLean(given, read, widen);
  const found = read.find(({ record }) => record.ramps.has(jig.name));
  // Anything with `trusted-to: 0` is declared exact.
  if (found === undefined || jig.priorSd === 0) return jig;
  const { ramp, error, uncertainty }: RampRecord = present(found.record.ramps.get(jig.name));
  if (Math.abs(ramp - jig.ramp) > SAME_ANGLE) {
    const problem = `its ${jig.name} is labelled ${degreesText(ramp)} and this job's ${degreesText(jig.ramp)}`;
    const rule = "a record is of the jig of that name, so give the other jig another name";
    source.refuse(found.path, faultSentence({ what: "records", problem, rule, value: found.name }));
    return jig;
  }
  return { ...jig, priorMean: error, priorSd: Math.hypot(uncertainty, widen.ramps) };
}

/** A lean's uncertainty grows like a ramp's, because it is the same block of wood. If the job allows no lean, there is none. */
function recordedLean(jig: Jig, read: readonly Named[], widen: Widen): Jig {
  const found = read.map(({ record }) => record.leans.get(jig.name)).find((one) => one !== undefined);
  if (found === undefined || !jig.lean || jig.lean.priorSd === 0) return jig;
  const priorSd = Math.hypot(found.uncertainty, widen.ramps);
  return { ...jig, lean: { ...jig.lean, priorMean: found.error, priorSd } };
}

/** A stop's record applies only to the same cuts of the same cell on the same jig. */
function recordedStop(setUp: SetUp, read: readonly Named[], widen: Widen, cell: RecordedCell): SetUp {
  const recorded = read.map(({ record }) => record.stops.get(setUp.name)).find((one) => one !== undefined);
  if (recorded === undefined || setUp.stop === null || setUp.stop.priorSd === 0) return setUp;
  const same =
    recorded.jig === setUp.jig &&
    [...recorded.cuts].sort().join() === [...setUp.cuts].sort().join() &&
    recorded.cell === cellOfRecord(cell) &&
    Math.abs(recorded.opening - cell.opening) < SAME_LENGTH &&
    Math.abs(recorded.strip - cell.strip) < SAME_LENGTH;
  if (!same) return setUp;
  const priorSd = Math.hypot(recorded.uncertainty, widen.stops);
  return { ...setUp, stop: { ...setUp.stop, priorMean: recorded.error, priorSd } };
}
