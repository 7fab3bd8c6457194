import { Document, isMap, isSeq } from "yaml";
import { UserError } from "../../core/errors.js";
import { writeFile } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import { at, entryOf } from "../../core/numeric/dense.js";
import type { JobPosterior } from "../../inference/job-posterior.js";
import { trialsFile } from "../../io/files.js";
import { loadJob } from "../../io/job/load-job.js";
import { recordFiles } from "../../io/job/records.js";
import { requireOutput } from "../../io/outputs.js";
import { cellOfRecord } from "../../io/records/jig-record.js";
import { pairName, togetherName } from "../../io/records/read-together.js";
import type { Job } from "../../model/job/job.js";
import { jigNamed, setUpNamed } from "../../model/shop.js";
import type { SourceId } from "../../model/source-id.js";
import { evidenceText } from "../../render/evidence-text.js";
import { sourceText } from "../../render/source-text.js";
import { today } from "../calibrate/index.js";
import { folderPosterior } from "../evidence/index.js";
import { type FoundTogether, foundTogether } from "./found-together.js";

export interface RecordFlags {
  readonly out: string;
  /** The moves on the card have been made. */
  readonly moved?: boolean;
  readonly seed: number;
}

/** `sukima record JOBFOLDER --out FILE`: what the trial cuts found of the jigs, for the next job to start from. */
export function recordCommand(
  folder: string,
  { out, moved, seed }: RecordFlags,
  onProgress: (step: string) => void,
): string {
  const job = loadJob(folder);
  requireOutput(out, "record", recordFiles(job));
  const posterior = folderPosterior(folder, job, { moved: moved ?? false, seed }, onProgress);
  const text = recordYaml(posterior, today());
  if (text === null)
    throw new UserError(
      "command",
      `No jig or stop is measured well enough to be kept. Add readings to ${trialsFile(folder)}: sukima plan ${folder} lists the trial pieces to cut.`,
    );
  writeFile(out, text);
  return [
    evidenceText(posterior),
    `Written: ${out}${moved ? ", with the jigs as they are after the moves on the card" : ", with the jigs as they were when the trial pieces were cut"}.`,
    `Keep it with the jigs. Copy it into the next job's folder and name it there: records: [${out.split("/").at(-1)}]`,
  ].join("\n");
}

const HEAD = ` What trial cuts found of these jigs, for the next job to start from (its key "records").
 Errors: a sharper point +, outward at the front +, longer +. Uncertainty: one standard deviation. A stop's entry holds
 while the stop stays where it was, for the same cuts of the same cell. "together" has the same errors as they go with
 each other: leave it as it is.`;
const SIGN_UNIDENTIFIED = `
 Of the following the readings give the size but not the sign; their error here lies between the two, and "together" has
 both sides: `;

/**
 * A record of the jigs and stops that the readings say something of, as they are now, as YAML; `null` when they say nothing of any.
 *
 * @param date printed as it is
 * @example
 * recordYaml(jobPosterior(job, readings), "2000-01-01").includes("point-45") // true
 */
export function recordYaml(posterior: JobPosterior, date: string): string | null {
  const { job, fit } = posterior;
  const found = foundTogether(posterior);
  if (found === null) return null;
  const { sources, mean, covariance } = found;
  const n = sources.length;
  const [size, small] = LENGTHS[job.units];
  const sized = ({ kind }: SourceId, value: number): string =>
    kind === "stop" ? small(value) : degrees(value);
  const entries = (kind: SourceId["kind"], more: (of: string) => object): Record<string, object> =>
    Object.fromEntries(
      [...sources.entries()].flatMap(([i, id]) =>
        id.kind === kind
          ? [
              [
                id.of,
                {
                  ...more(id.of),
                  error: sized(id, at(mean, i)),
                  uncertainty: sized(id, Math.sqrt(entryOf(covariance, i, i, n))),
                },
              ] as const,
            ]
          : [],
      ),
    );
  const of = cellOfRecord(job);
  const groups = {
    ramps: entries("ramp", (name) => ({ ramp: degrees(jigNamed(job, name).ramp) })),
    leans: entries("lean", () => ({})),
    stops: entries("stop", (name) => {
      const { jig, cuts } = setUpNamed(job, name);
      const cell = of === undefined ? {} : { cell: of };
      return { jig, cuts, ...cell, opening: size(job.opening), strip: size(job.strip) };
    }),
  };
  const kept = Object.entries(groups).filter(([, group]) => Object.keys(group).length > 0);
  const together = n > 1 || found.cases.length > 1 ? { together: togetherOf(found, sized) } : {};
  const document = new Document({ from: job.title, date, ...Object.fromEntries(kept), ...together });
  const unidentified = (fit?.sources ?? []).flatMap(({ id, sides }) => (sides ? [sourceText(id)] : []));
  document.commentBefore =
    unidentified.length === 0 ? HEAD : `${HEAD}${SIGN_UNIDENTIFIED}${unidentified.join(", ")}.`;
  // One line for each jig and stop, and for each group of a case.
  for (const group of ["ramps", "leans", "stops"]) {
    const of = document.get(group);
    if (isMap(of)) for (const { value } of of.items) if (isMap(value)) value.flow = true;
  }
  const cases = document.get("together");
  if (isSeq(cases))
    for (const one of cases.items)
      if (isMap(one)) for (const { value } of one.items) if (isMap(value)) value.flow = true;
  return document.toString({ lineWidth: 0 });
}

/** Every case with the errors, their uncertainties, and the correlations that are not zero. */
function togetherOf(
  { sources, cases }: FoundTogether,
  sized: (id: SourceId, value: number) => string,
): object[] {
  const n = sources.length;
  const named = (value: (i: number) => string): Record<string, string> =>
    Object.fromEntries(sources.map((id, i) => [togetherName(id), value(i)]));
  return cases.map(({ share, mean, covariance }) => {
    const u = (i: number): number => Math.sqrt(entryOf(covariance, i, i, n));
    const pairs = sources.flatMap((id, i) =>
      sources.slice(0, i).flatMap((other, j) => {
        const r = rounded(entryOf(covariance, i, j, n) / (u(i) * u(j)));
        return r === 0 ? [] : [[pairName(togetherName(other), togetherName(id)), r] as const];
      }),
    );
    return {
      share: rounded(share),
      errors: named((i) => sized(at(sources, i), at(mean, i))),
      uncertainties: named((i) => sized(at(sources, i), u(i))),
      ...(pairs.length > 0 ? { correlations: Object.fromEntries(pairs) } : {}),
    };
  });
}

const degrees = (rad: number): string => `${rounded(rad / DEGREE)} deg`;
/** How the sizes of a cell and errors are written, by the job's units. */
const LENGTHS: Readonly<Record<Job["units"], readonly [(mm: number) => string, (mm: number) => string]>> = {
  mm: [(mm) => `${rounded(mm)} mm`, (mm) => `${rounded(mm)} mm`],
  in: [(mm) => `${rounded(mm / 25.4)} in`, (mm) => `${rounded(mm / 0.0254)} thou`],
};
/** To a millionth: far below any uncertainty here. */
const rounded = (value: number): number => Number(value.toFixed(6));
