import { existsSync } from "node:fs";
import { join } from "node:path";
import { UserError } from "../../core/errors.js";
import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { type Cell, PANEL_SIDES, type PanelSide } from "../../model/cell/cell.js";
import { jointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import { isAngleReading, PLACES, type Place, type Reading } from "../../model/readings.js";
import { evidenceJson } from "../../render/evidence-text.js";
import { writeCharts } from "../../render/pictures.js";
import { sourceText } from "../../render/source-text.js";
import type { WeighedCheck } from "./candidate-checks.js";
import { exampleJoint, exampleRow } from "./cells-read.js";
import type { Closing } from "./closing.js";
import { causeText } from "./error-shares.js";
import { type Explanation, explainCells, type JointExplained } from "./explain-cells.js";
import { causeDrawings } from "./explanation-display.js";
import { explanationText } from "./explanation-text.js";
import type { GapRange } from "./joint-causes.js";
import { nextCheck, nextReadingsOf } from "./next-check.js";
import { type CellLookedAt, SEEN, type Seen, type Sight, seenByEye, withEye } from "./seen-by-eye.js";
import { type Chance, PRINTABLE, type SourceCause } from "./source-causes.js";
import type { Story } from "./stories.js";

export interface ExplainFlags {
  readonly json?: boolean;
  readonly details?: boolean;
  readonly out?: string;
  readonly saw?: readonly string[];
  readonly seed: number;
}

/** `sukima explain JOBFOLDER`: what opens and presses the joints of assembled cells, what would close them, and the reading that would identify what is not known. */
export async function explainCommand(folder: string, flags: ExplainFlags): Promise<string> {
  const { job, readings } = read(folder, flags.saw ?? []);
  const explanation = explainCells(job, readings, { seed: flags.seed });
  const written = await writeCharts(flags.out, () =>
    causeDrawings(explanation).map((spec, i) => [`cause-${i + 1}`, spec] as const),
  );
  if (flags.json) return JSON.stringify(explanationJson(explanation), null, 1);
  return [explanationText(explanation, flags.details), ...written].join("\n");
}

const nothingRead = (
  job: Job,
  cell: Cell,
): string => `There is nothing to explain: an explanation needs gaps read in an assembled cell; trials.csv has no row with the bench “cell”. Write one such as
  ${exampleRow(cell, job)}
or say what you saw by eye:
  --saw "${exampleJoint(cell)} heel open" --saw "${at(jointNames(cell).short, 0)} toe closed"`;

/** The readings of the table, and what was seen by eye. */
function read(folder: string, saw: readonly string[]): { job: Job; readings: readonly Reading[] } {
  const job = loadJob(folder);
  const table = join(folder, "trials.csv");
  const readings = saw.length > 0 && !existsSync(table) ? [] : loadTrials(table, job);
  if (saw.length === 0) {
    if (!readings.some(({ bench }) => bench === "cell"))
      throw new UserError("command", nothingRead(job, jobCell(job)));
    return { job, readings };
  }
  const cell = jobCell(job);
  const sights = saw.map((text) => sightOf(text, cell));
  return {
    job: withEye(job),
    readings: [...readings, ...seenByEye(job, cell, sights, cellLookedAt(readings))],
  };
}

/** The cell that was inspected by eye: the last one read, or a new one if none was read. */
function cellLookedAt(readings: readonly Reading[]): CellLookedAt {
  const last = readings.findLast(({ bench, what }) => bench === "cell" && what === "gap");
  return last ?? { trial: "seen" };
}

/** Parses `hinge-1.end-right heel open` or `hinge-1 mitre heel open`, with an optional `back` at the end if a ramp may lean. */
function sightOf(text: string, cell: Cell): Sight {
  const words = text.trim().split(/\s+/);
  const side = PANEL_SIDES.includes(words.at(-1) as PanelSide) ? words.pop() : undefined;
  const [seen, at] = [words.pop(), words.pop()];
  const joint = words.join(" ");
  if (joint !== "" && PLACES.includes(at as Place) && SEEN.includes(seen as Seen))
    return { joint, at: at as Place, seen: seen as Seen, ...(side && { side: side as PanelSide }) };
  throw new UserError(
    "command",
    `What was seen is not clear: it is a joint, then ${PLACES.join(", ")}, then ${SEEN.join(", ")}, and where a ramp may lean ${PANEL_SIDES.join(" or ")}; got “${text}”. Write for example: --saw "${exampleJoint(cell)} heel open".`,
  );
}

/** An explanation for other programs: lengths in mm, angles in degrees. A probability that is not known to 2 percentage points is `null`. */
export function explanationJson(explanation: Explanation): object {
  const { posterior, cells, sources, stories } = explanation;
  const next = nextCheck(explanation);
  return {
    ...evidenceJson(posterior),
    cells: cells.map(({ cell: { trial, round, readings }, joints, closing }) => ({
      trial,
      round,
      readings: readings.length,
      joints: joints.map(jointJson),
      closing: closing && closingJson(closing),
    })),
    sources: sources.map(sourceJson),
    stories: stories?.slice(0, MOST_STORIES).map(storyJson),
    next: next && {
      why: next.why,
      readings: nextReadingsOf(next).map(({ setUp, bench, what, subject, at, side, instrument }) => ({
        setUp,
        bench,
        what,
        subject,
        at,
        side: side ?? null,
        instrument,
      })),
      stories: next.stories && checkJson(next.stories.check),
    },
  };
}

/** Maximum number of stories in the JSON; the others are negligible. */
const MOST_STORIES = 12;

const chanceJson = ({ value, samplingError }: Chance): object => ({
  chance: samplingError <= PRINTABLE ? value : null,
  samplingError,
});

const spread = ({ mean, low, high }: GapRange): object => ({ mean, low, high });

function jointJson({
  joint,
  at: end,
  side,
  state,
  gap,
  asDrawn,
  contributions,
  closing,
}: JointExplained): object {
  return {
    joint,
    at: end,
    side: side ?? null,
    state,
    asDrawn,
    gap: spread(gap),
    contributions: contributions.map(({ id, ...amount }) => ({
      cause: causeText(id),
      id,
      ...spread(amount),
    })),
    closing: closingJson(closing),
  };
}

function closingJson({ remedies, before, after }: Closing): object {
  return {
    remedies: remedies.map(({ id, by }) => {
      const angular = id.kind === "ramp" || id.kind === "lean";
      return {
        cause: causeText(id),
        id,
        by: by === null ? null : by / (angular ? DEGREE : 1),
        unit: angular ? "deg" : "mm",
      };
    }),
    before,
    after,
  };
}

function sourceJson({
  id,
  angular,
  estimate,
  standardUncertainty,
  interval,
  sign,
  matters,
  chance,
}: SourceCause): object {
  const unit = angular ? DEGREE : 1;
  return {
    cause: sourceText(id),
    id,
    unit: angular ? "deg" : "mm",
    sign,
    estimate: estimate / unit,
    standardUncertainty: standardUncertainty / unit,
    low: interval[0] / unit,
    high: interval[1] / unit,
    matters: { above: matters.above / unit, below: matters.below / unit, ...chanceJson(chance) },
  };
}

const storyJson = ({ causes, chance }: Story): object => ({
  causes: causes.map(({ id, angular, size, standardUncertainty }) => {
    const unit = angular ? DEGREE : 1;
    return {
      cause: sourceText(id),
      id,
      unit: angular ? "deg" : "mm",
      size: size / unit,
      standardUncertainty: standardUncertainty / unit,
    };
  }),
  ...chanceJson(chance),
});

function checkJson(weighed: WeighedCheck | null): object | null {
  if (weighed === null) return null;
  const { check, bits, right, foreseen } = weighed;
  const unit = isAngleReading(check.what) ? DEGREE : 1;
  return { ...check, bits, right, foreseen: foreseen.map((range) => range.map((value) => value / unit)) };
}
