import type { Calibration } from "../../calibrate/calibrate-job.js";
import type { Job } from "../../job/job.js";
import type { Reading } from "../../readings/reading.js";
import type { Html } from "../display/show.js";
import { readText, sourceRows } from "./calibration-text.js";
import { htmlTable } from "./html-table.js";
import { subjectText } from "./subject-text.js";
import { textTable } from "./text-table.js";

function bothWays(heading: string[], rows: string[][], right: number[]): Html {
  return { html: htmlTable(heading, rows, right), text: textTable(heading, rows, right) };
}

/** The readings as they were taken, in the job's units. */
export function readingsTable(job: Job, readings: readonly Reading[]): Html {
  const rows = readings.map((reading) => [
    reading.id,
    reading.trial,
    reading.bench === "none" ? "in the hand" : reading.bench,
    subjectText(reading),
    `${reading.what}${reading.at ? ` at ${reading.at}` : ""}`,
    readText({ reading }, job),
    reading.instrument,
  ]);
  return bothWays(["id", "trial", "bench", "joint, cut or piece", "what", "read", "with"], rows, [5]);
}

/** Every error source with its estimate, its interval, and what the readings alone would say. */
export function sourcesTable(calibration: Calibration): Html {
  const heading = ["error source", "estimate ± U (95 %)", "95 % interval", "readings alone", "learned"];
  return bothWays(heading, sourceRows(calibration), [1, 2, 3, 4]);
}

/** What to do with each adjuster, and why. */
export function adviceTable({ decision, fit }: Calibration): Html {
  const rows = decision.advice.map(({ adjuster, verdict, reason }) => [
    fit.sources[adjuster.source]!.name,
    verdict,
    reason,
  ]);
  return bothWays(["jig or stop", "verdict", "why"], rows, []);
}
