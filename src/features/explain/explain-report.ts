import { existsSync } from "node:fs";
import { join } from "node:path";
import { given } from "../../cli/arguments.js";
import { UserError } from "../../core/errors.js";
import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { parseLength } from "../../core/quantity/index.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { type Cell, PANEL_SIDES, type PanelSide } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import { PLACES, type Place, type Reading } from "../../model/readings.js";
import { writeCharts } from "../../render/pictures.js";
import { sourceText } from "../../render/source-text.js";
import { bestCheck } from "./best-check.js";
import { exampleJoint, exampleRow } from "./causes.js";
import { type Explanation, explainCells } from "./explain-cells.js";
import { causeDrawings } from "./explanation-display.js";
import { explanationText, hypothesisName } from "./explanation-text.js";
import { SEEN, type Seen, type Sight, seenByEye, withEye } from "./seen-by-eye.js";

export interface ExplainFlags {
  readonly json?: boolean;
  readonly out?: string;
  readonly saw?: readonly string[];
  readonly offCentre?: string;
  readonly severalOdds?: number;
  readonly seed: number;
}

/** `sukima explain JOBFOLDER`: the likely causes of the gaps seen in assembled cells, and the check that tells the best two apart. */
export async function explainCommand(folder: string, flags: ExplainFlags): Promise<string> {
  const { job, readings } = read(folder, flags.saw ?? []);
  const { seed, severalOdds } = flags;
  const offCentre =
    flags.offCentre === undefined
      ? undefined
      : parseLength(flags.offCentre, { unit: job.units, what: "off-centre", sign: "positive" });
  const explanation = explainCells(job, readings, { seed, ...given({ severalOdds, offCentre }) });
  const written = await writeCharts(flags.out, () =>
    causeDrawings(explanation).map((spec, i) => [`cause-${i + 1}`, spec] as const),
  );
  if (flags.json) return JSON.stringify(explanationJson(explanation), null, 1);
  return [explanationText(explanation), ...written].join("\n");
}

const nothingRead = (
  job: Job,
  cell: Cell,
): string => `There is nothing to explain: an explanation needs gaps read in an assembled cell; trials.csv has no row with the bench “cell”. Write one such as
  ${exampleRow(cell, job)}
or say what you saw by eye:
  --saw "${exampleJoint(cell)} heel open" --saw "${at(cell.joints, 0).name} toe closed"`;

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
  return { job: withEye(job), readings: [...readings, ...seenByEye(job, cell, sights)] };
}

/** `hinge-1.end-right heel open`, and where a ramp may lean `back` after it. */
function sightOf(text: string, cell: Cell): Sight {
  const [joint, at, seen, side, more] = text.trim().split(/\s+/);
  const sided = side === undefined || PANEL_SIDES.includes(side as PanelSide);
  const known = PLACES.includes(at as Place) && SEEN.includes(seen as Seen) && sided && more === undefined;
  if (joint && known)
    return { joint, at: at as Place, seen: seen as Seen, ...(side && { side: side as PanelSide }) };
  throw new UserError(
    "command",
    `What was seen is not clear: it is a joint, then ${PLACES.join(", ")}, then ${SEEN.join(", ")}, and where a ramp may lean ${PANEL_SIDES.join(" or ")}; got “${text}”. Write for example: --saw "${exampleJoint(cell)} heel open".`,
  );
}

/** An explanation for other programs: lengths in mm, angles in degrees. */
export function explanationJson(explanation: Explanation): object {
  const { outcome, largestRise, hypotheses, cells } = explanation;
  const [first, second] = hypotheses;
  const check = outcome === "identified" ? bestCheck(explanation, first!, second!) : null;
  return {
    ...{ outcome, largestRise },
    cells: cells.map(({ trial, readings }) => ({ trial, readings: readings.length })),
    hypotheses: hypotheses.map((judged) => {
      const { causes, sizes, probability, standardError, prior, weighed } = judged;
      return {
        ...{ hypothesis: hypothesisName(judged), probability, standardError, prior },
        sizes: causes.map(({ id, measure, says }, k) => {
          const { size, interval, thatSide, other } = at(sizes, k);
          const unit = measure === "angle" ? DEGREE : 1;
          return {
            ...{ cause: sourceText(id), id, unit: measure === "angle" ? "deg" : "mm" },
            ...{ size: size / unit, interval: interval.map((end) => end / unit) },
            ...{ says: says[size > 0 ? 0 : 1], thatSide, other: other === null ? null : other / unit },
          };
        }),
        logEvidence: weighed.logEvidence,
        ...{ draws: weighed.draws.length, effectiveSampleSize: weighed.effectiveSampleSize },
      };
    }),
    check: check && {
      ...check.check,
      bits: check.bits,
      right: check.right,
      foreseen: check.foreseen.map((range) =>
        range.map((value) => (check.check.what === "angle" ? value / DEGREE : value)),
      ),
    },
  };
}
