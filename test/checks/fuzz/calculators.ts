import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { batchCommand } from "../../../src/features/batch/batch-report.js";
import { cutListCommand } from "../../../src/features/cutlist/cut-list-report.js";
import { drawCommand } from "../../../src/features/draw/draw.js";
import { explainCommand } from "../../../src/features/explain/explain-report.js";
import { gaugeCommand } from "../../../src/features/gauge/gauge-report.js";
import { panelCommand } from "../../../src/features/panel/panel-report.js";
import { planCommand } from "../../../src/features/plan/plan-report.js";
import { pageCommand } from "../../../src/features/play/live-page.js";
import { predictUncertainCommand } from "../../../src/features/predict/forecast-report.js";
import { predictCommand } from "../../../src/features/predict/prediction-report.js";
import { seasonCommand } from "../../../src/features/season/season-report.js";
import { sheetCommand } from "../../../src/features/sheet/sheet-page.js";
import { simulateCommand } from "../../../src/features/simulate/simulate.js";
import { tolerancesCommand } from "../../../src/features/tolerances/tolerance-report.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import type { Subject } from "./subjects.js";

// Slips in a folder that the readers may let through, given to what computes behind them.

const DATA = resolve(PACKAGE_ROOT, "data");
const data = (...path: string[]): string => readFileSync(join(DATA, ...path), "utf8");

/** What a hand may make of a number. */
const SLIPS: readonly ((number: string) => string)[] = [
  (x) => String(Number(x) * 10),
  (x) => String(Number(x) / 10),
  (x) => String(Number(x) * 25.4),
  (x) => String(Number(x) / 25.4),
  (x) => x.replace(/(\d)(\.?)(\d)/, "$3$2$1"),
  (x) => `-${x}`,
  () => "0",
  (x) => `${x}e-9`,
  (x) => `${x}e9`,
  (x) => `${x} in`,
  (x) => `${x} mm`,
  (x) => `${x} deg`,
  (x) => x.replace(".", ","),
  () => "",
];
/** Slips that make a value ten times too large or small. */
const TENFOLD = 2;

/** A text with one of its numbers, or of those in one column of a table, written wrong. */
export function withSlip(text: string, pick: number, column?: readonly string[]): string {
  const slip = SLIPS[pick % SLIPS.length];
  const numbers = [...text.matchAll(/(?<![\w.-])\d+(?:\.\d+)?(?![\w.-])/g)].filter(
    ({ index }) => column === undefined || inColumn(text, index, column),
  );
  const chosen = numbers[Math.floor(pick / SLIPS.length) % numbers.length];
  if (slip === undefined || chosen === undefined) return text;
  const [number] = chosen;
  return text.slice(0, chosen.index) + slip(number) + text.slice(chosen.index + number.length);
}

function inColumn(text: string, index: number, wanted: readonly string[]): boolean {
  const headings = text.slice(0, text.indexOf("\n")).split(",");
  const line = text.lastIndexOf("\n", index) + 1;
  return line > 0 && wanted.includes(headings[text.slice(line, index).split(",").length - 1] ?? "");
}

const quiet = (): void => {};
/** Cells of each part of `tolerances`, few enough to be drawn for every case. */
const FEW = { search: 256, setting: 512, curve: 256, proof: 512 };

/**
 * Every calculator that is quick enough to be tried many times, each on a folder with one slip in its job or its table. What is accepted is computed, and no number of
 * the answer may be none.
 *
 * @param folder an empty one
 */
export function calculators(folder: string): readonly Subject[] {
  mkdirSync(folder, { recursive: true });
  for (const name of ["plan.csv", "truth.yaml"])
    writeFileSync(join(folder, name), data("alcove-screen", name));
  const jobs = [data("alcove-screen", "job.yaml"), data("leaning-ramp", "job.yaml")];
  /** A calculator on a job with a slip in it. */
  const onJob = (name: string, compute: (job: string) => string | Promise<string>): Subject => ({
    name,
    good: jobs,
    file: "job.yaml",
    anyRefusal: true,
    fixedMs: 30_000,
    slip: (text, pick) => withSlip(text, pick),
    read: async (path) => sound(await compute(path)),
  });
  const page = join(folder, "page.html");
  const picture = join(folder, "picture.svg");
  const stated = { json: true, seed: 1, withoutReadings: true } as const;
  return [
    onJob("predict", (path) => predictCommand(path, { json: true })),
    onJob("predict, fitted", (path) => predictCommand(path, { json: true, lengths: "fitted" })),
    onJob("season", (path) => seasonCommand(path, { ...stated, cells: 100 }, quiet)),
    onJob("panel", (path) => panelCommand(path, { ...stated, panels: 20, quick: true, threads: 1 }, quiet)),
    onJob("cutlist", (path) => cutListCommand(path, stated, new Date(0), quiet)),
    onJob("page", (path) => {
      pageCommand({ out: page, job: path });
      return "";
    }),
    onJob("predict --uncertain", (path) =>
      predictUncertainCommand(path, { ...stated, cells: 64, threads: 1 }, quiet),
    ),
    onJob("tolerances", (path) => tolerancesCommand(path, { ...stated, curve: false }, quiet, FEW)),
    {
      ...onJob("plan", (path) =>
        planCommand(path, { json: true, seed: 1, aim: "gap", trials: 1, withoutReadings: true }, quiet),
      ),
      // It weighs every trial of the job with a lean.
      fixedMs: 30_000,
    },
    onJob("explain", (path) =>
      explainCommand(path, { json: true, seed: 1, saw: ["hinge-1.end-right heel open"] }),
    ),
    onJob("draw", (path) => drawCommand("cell-before", { job: path, out: picture, seed: 1 }, quiet)),
    onJob("sheet", (path) => {
      sheetCommand(path, { out: page, units: "mm" });
      return "";
    }),
    {
      ...onJob("simulate", () => ""),
      good: [data("alcove-screen", "truth.yaml")],
      file: "truth.yaml",
      read: () => {
        writeFileSync(join(folder, "job.yaml"), data("alcove-screen", "job.yaml"));
        const readings = simulateCommand(folder, {});
        for (const [negative] of readings.matchAll(/,-[\d.]+/g)) throw new Error(`a reading of ${negative}`);
        return sound(readings);
      },
    },
    {
      ...onJob("gauge", () => ""),
      good: [data("alcove-screen", "gauge.csv")],
      file: "gauge.csv",
      read: (path) => sound(gaugeCommand(path, { json: true })),
    },
    {
      ...onJob("batch", () => ""),
      good: [data("alcove-screen", "batch.csv")],
      file: "batch.csv",
      read: (path) => sound(batchCommand(path, { json: true, seed: 1 })),
    },
  ];
}

/**
 * The calibration of the demonstration with a slip in one cell of its readings: a value ten times too large or small must be refused, any other may be; whatever is
 * accepted has finite estimates.
 */
export function calibrations(folder: string): readonly Subject[] {
  mkdirSync(folder, { recursive: true });
  const job = loadJob(join(DATA, "alcove-screen"));
  const table = data("alcove-screen", "trials.csv");
  let tenfold = false;
  return [
    {
      name: "calibrate",
      good: [table],
      file: "trials.csv",
      anyRefusal: true,
      fixedMs: 60_000,
      slip: (text, pick) => {
        const slipped = withSlip(text, pick, ["value", "low", "high", "unit"]);
        const ofValue = withSlip(text, pick, ["value"]);
        tenfold = pick % 2 === 0 && pick % SLIPS.length < TENFOLD && ofValue !== text;
        return tenfold ? ofValue : slipped;
      },
      read: (path) => {
        const { fit, decision, after } = calibrateJob(job, loadTrials(path, job), { draws: 50 });
        if (tenfold) throw new Error("moves were ordered from a value ten times too large or small");
        sound(JSON.stringify([Array.from(fit.estimates), decision.moves, after.closes]));
      },
    },
  ];
}

/** @throws Error for an answer with a number in it that is none */
function sound(answer: string): void {
  const none = /\b(?:NaN|Infinity)\b|∞/.exec(answer);
  if (none)
    throw new Error(
      `the answer holds ${none[0]}: ${answer.slice(Math.max(0, none.index - 60), none.index + 20)}`,
    );
}
