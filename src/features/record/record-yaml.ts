import { Document, isMap } from "yaml";
import { UserError } from "../../core/errors.js";
import { writeFile } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import type { Moves } from "../../inference/decision/drawn-cells.js";
import { fitSources, type SourceEstimate, type SourceFit } from "../../inference/estimates/fit-sources.js";
import { loadJob } from "../../io/job/load-job.js";
import { cellOfRecord } from "../../io/records/jig-record.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import type { Job } from "../../model/job/job.js";
import { jigNamed, setUpNamed } from "../../model/shop.js";
import { sourceText } from "../../render/source-text.js";
import { calibrateFolder, today } from "../calibrate/index.js";

export interface RecordFlags {
  readonly out: string;
  /** The moves of the card have been made. */
  readonly moved?: boolean;
  readonly seed: number;
}

/** `sukima record JOBFOLDER --out FILE`: what the trial cuts found of the jigs, for the next job to start from. */
export function recordCommand(
  folder: string,
  { out, moved, seed }: RecordFlags,
  onProgress: (step: string) => void,
): string {
  const { job, fit, moves } = moved ? afterMoves(folder, seed, onProgress) : asTried(folder, onProgress);
  const text = recordYaml(job, fit, today(), moves);
  if (text === null)
    throw new UserError(
      "command",
      "No jig or stop is measured well enough to be kept; cut more trial pieces first.",
    );
  writeFile(out, text);
  return [
    `Written: ${out}${moved ? ", with the jigs as they are after the moves of the card" : ", with the jigs as they were when the trials were cut"}.`,
    `Keep it with the jigs. Copy it into the next job's folder and name it there: records: [${out.split("/").at(-1)}]`,
  ].join("\n");
}

interface Found {
  readonly job: Job;
  readonly fit: SourceFit;
  readonly moves?: Moves;
}

function asTried(folder: string, onProgress: (step: string) => void): Found {
  const job = loadJob(folder);
  const readings = loadTrials(folder, job);
  onProgress("fitting the jigs and stops to the readings");
  return { job, fit: fitSources(job, readings) };
}

/** The moves are those of the card, so they are found the same way. */
function afterMoves(folder: string, seed: number, onProgress: (step: string) => void): Found {
  const { job, fit, decision } = calibrateFolder(folder, seed, onProgress);
  return { job, fit, moves: decision.moves };
}

const HEAD = ` What trial cuts found of these jigs, for the next job to start from (its key "records").
 Errors: a sharper point +, outward at the front +, longer +. Uncertainty: one standard deviation. A stop's entry holds
 while the stop stays where it was, for the same cuts of the same cell.`;
const SIGN_UNIDENTIFIED = `
 Of the following the readings give the size but not the sign; their error here lies between the two: `;

/**
 * A record of the jigs and stops that the readings told something of, as YAML; `null` when they told nothing of any.
 *
 * @param moves what was changed after the trials, its re-setting scatter counted; default nothing
 * @example
 * recordYaml(job, calibration.fit, "2000-01-01").includes("point-45") // true
 */
export function recordYaml(job: Job, { sources }: SourceFit, date: string, moves?: Moves): string | null {
  const kept = (kind: "ramp" | "lean" | "stop"): [SourceEstimate, number][] =>
    [...sources.entries()].flatMap(([i, source]) =>
      source.id.kind === kind &&
      source.id.round === undefined &&
      (source.fromData || (source.priorMean ?? 0) !== 0)
        ? [[source, i]]
        : [],
    );
  const after = ({ current }: SourceEstimate, i: number) => ({
    error: current.estimate + (moves?.change[i] ?? 0),
    uncertainty: Math.hypot(current.standardUncertainty, moves?.resetSd[i] ?? 0),
  });
  const ramps = kept("ramp").map(([source, i]) => {
    const { error, uncertainty } = after(source, i);
    const { ramp } = jigNamed(job, source.id.of);
    return [source.id.of, { ramp: degrees(ramp), error: degrees(error), uncertainty: degrees(uncertainty) }];
  });
  const leans = kept("lean").map(([source, i]) => {
    const { error, uncertainty } = after(source, i);
    return [source.id.of, { error: degrees(error), uncertainty: degrees(uncertainty) }];
  });
  const of = cellOfRecord(job);
  const stops = kept("stop").map(([source, i]) => {
    const { error, uncertainty } = after(source, i);
    const { jig, cuts } = setUpNamed(job, source.id.of);
    return [
      source.id.of,
      {
        ...{
          jig,
          cuts,
          ...(of === undefined ? {} : { cell: of }),
          opening: mm(job.opening),
          strip: mm(job.strip),
        },
        ...{ error: mm(error), uncertainty: mm(uncertainty) },
      },
    ];
  });
  if (ramps.length + leans.length + stops.length === 0) return null;
  const document = new Document({
    ...{ from: job.title, date },
    ...(ramps.length > 0 ? { ramps: Object.fromEntries(ramps) } : {}),
    ...(leans.length > 0 ? { leans: Object.fromEntries(leans) } : {}),
    ...(stops.length > 0 ? { stops: Object.fromEntries(stops) } : {}),
  });
  const unidentified = sources.flatMap(({ id, sides }) => (sides ? [sourceText(id)] : []));
  document.commentBefore =
    unidentified.length === 0 ? HEAD : `${HEAD}${SIGN_UNIDENTIFIED}${unidentified.join(", ")}.`;
  // One line for each jig and stop.
  for (const group of ["ramps", "leans", "stops"]) {
    const entries = document.get(group);
    if (isMap(entries)) for (const { value } of entries.items) if (isMap(value)) value.flow = true;
  }
  return document.toString({ lineWidth: 0 });
}

const degrees = (rad: number): string => `${rounded(rad / DEGREE)} deg`;
const mm = (length: number): string => `${rounded(length)} mm`;
/** To a millionth: far below any uncertainty here. */
const rounded = (value: number): number => Number(value.toFixed(6));
