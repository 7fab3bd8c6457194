import { existsSync } from "node:fs";
import { join } from "node:path";
import { chartLabels } from "../charts/chart-spec.js";
import { specToSvg } from "../charts/render/spec-to-svg.js";
import { exampleJoint, exampleRow } from "../explain/example-row.js";
import { type ExplainOptions, explainCells } from "../explain/explain-cells.js";
import { SEEN, type Seen, type Sight, seenByEye, withEye } from "../explain/seen-by-eye.js";
import type { Job } from "../job/job.js";
import { jobCell } from "../job/job-cell.js";
import { loadJob } from "../job/load-job.js";
import { loadTrials } from "../job/load-trials.js";
import type { Cell } from "../lattice/cell.js";
import { PANEL_SIDES, type PanelSide } from "../lattice/cell-probes.js";
import { parseLength } from "../quantity/index.js";
import { PLACES, type Place } from "../readings/instrument.js";
import type { Reading } from "../readings/reading.js";
import { verdictDrawings } from "../report/explanation-charts.js";
import { explanationJson } from "../report/text/explanation-json.js";
import { explanationText } from "../report/text/explanation-text.js";
import { drawnFiles } from "./drawn-files.js";
import { CliError } from "../core/errors.js";

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
  const options: ExplainOptions = {
    seed: flags.seed,
    ...(flags.severalOdds === undefined ? {} : { severalOdds: flags.severalOdds }),
    ...(flags.offCentre === undefined
      ? {}
      : {
          offCentre: parseLength(flags.offCentre, { unit: job.units, what: "off-centre", sign: "positive" }),
        }),
  };
  const explanation = explainCells(job, readings, options);
  const drawings = flags.out === undefined ? [] : verdictDrawings(explanation);
  const files: Record<string, string> = {};
  for (const [i, spec] of drawings.entries())
    files[`cause-${i + 1}.svg`] = await specToSvg(spec, chartLabels(spec));
  const written = drawnFiles(flags.out, files);
  if (flags.json) return JSON.stringify(explanationJson(explanation), null, 1);
  return [explanationText(explanation), ...written].join("\n");
}

const nothingRead = (
  job: Job,
  cell: Cell,
): string => `There is nothing to explain: an explanation needs gaps read in an assembled cell; trials.csv has no row with the bench “cell”. Write one such as
  ${exampleRow(cell, job)}
or say what you saw by eye:
  --saw "${exampleJoint(cell)} heel open" --saw "${cell.joints[0]!.name} toe closed"`;

/** The readings of the table, and what was seen by eye. */
function read(folder: string, saw: readonly string[]): { job: Job; readings: readonly Reading[] } {
  const job = loadJob(folder);
  const table = join(folder, "trials.csv");
  const readings = saw.length > 0 && !existsSync(table) ? [] : loadTrials(table, job);
  if (saw.length === 0) {
    if (!readings.some(({ bench }) => bench === "cell")) throw new CliError(nothingRead(job, jobCell(job)));
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
  throw new CliError(
    `What was seen is not clear: it is a joint, then ${PLACES.join(", ")}, then ${SEEN.join(", ")}, and where a ramp may lean ${PANEL_SIDES.join(" or ")}; got “${text}”. Write for example: --saw "${exampleJoint(cell)} heel open".`,
  );
}
