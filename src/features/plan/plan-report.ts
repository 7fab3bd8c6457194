import { given } from "../../cli/arguments.js";
import { UserError } from "../../core/errors.js";
import { writeFile } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import {
  type PlanAim,
  type PlannedTrial,
  planTrials,
  type TrialPlan,
} from "../../inference/design/plan-trials.js";
import { loadJob } from "../../io/job/load-job.js";
import { requireOutput } from "../../io/outputs.js";
import { trialsCsv } from "../../io/trials/trials-csv.js";
import type { Job } from "../../model/job/job.js";
import { answerText } from "../../render/cautions.js";
import { budgetBars } from "../../render/charts/budget-bars.js";
import type { ChartOptions } from "../../render/charts/chart-spec.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { evidenceJson, evidenceText } from "../../render/evidence-text.js";
import type { HtmlOutput } from "../../render/notebook/display.js";
import type { JobPicture } from "../../render/pictures.js";
import {
  type AxisUnit,
  angleText,
  COVERAGE,
  chanceText,
  smallLength,
  smallUnit,
} from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { plainTable, textTable, wrapped } from "../../render/text.js";
import { type EvidenceFlags, folderPosterior } from "../evidence/index.js";
import { placeText, readingsText, safetyText, sampleText } from "./reading-text.js";
import { readingName, readTexts } from "./reading-worth.js";

export interface PlanFlags extends Omit<EvidenceFlags, "moved"> {
  readonly aim: PlanAim;
  readonly trials?: number;
  readonly minutes?: number;
  readonly sure?: number;
  readonly seed: number;
  readonly json?: boolean;
  readonly details?: boolean;
  readonly out?: string;
}

/** `sukima plan JOBFOLDER`: which trials to cut next; from the job alone before it has a table of trials. */
export function planCommand(folder: string, flags: PlanFlags, onProgress: (step: string) => void): string {
  const { aim, trials, minutes, sure, seed, json, out } = flags;
  if (out !== undefined) requireOutput(out, "table");
  const job = loadJob(folder);
  if (job.setUps.length === 0 || job.instruments.length === 0)
    throw new UserError(
      "command",
      "There is nothing to plan with: the job file must have jigs, set-ups and instruments. “sukima new FOLDER” writes one to start from.",
      { key: [job.setUps.length === 0 ? "set-ups" : "instruments"] },
    );
  const { withoutReadings = false } = flags;
  const posterior = folderPosterior(folder, job, { withoutReadings, seed }, onProgress);
  const plan = planTrials(job, posterior.fit?.target.readings ?? [], {
    aim,
    seed,
    posterior,
    onProgress,
    ...given({ trials, minutes, sure }),
  });
  if (out !== undefined) writeFile(out, trialsCsv(job, plan.readings));
  if (json) return JSON.stringify(planJson(plan, job), null, 1);
  const rows = `${plan.readings.length} rows to fill in`;
  return `${planText(plan, flags.details ?? false)}\n${out === undefined ? `With --out FILE the ${rows} are written as a table of trials.` : `${rows} written to ${out}.`}`;
}

/** A plan for reading: the trials one by one, what will be known after them, and when the verdict is safe. */
export function planText(plan: TrialPlan, details = true): string {
  const { job, trials, minutes, pieces, sources, uncertainties } = plan;
  const rows = sources.map((source, i) => {
    const text = (u: number): string =>
      source.angular ? angleText(COVERAGE.factor * u) : smallLength(COVERAGE.factor * u, job.units);
    return [
      sourceText(source.id),
      `± ${text(at(uncertainties, i).before)}`,
      `± ${text(at(uncertainties, i).after)}`,
    ];
  });
  const groups = alike(trials);
  const answer = [
    evidenceText(plan.posterior),
    "WHAT TO CUT NEXT",
    ...(trials.length === 0
      ? [wrapped(noneSentence(plan))]
      : [
          ...groups.slice(0, 1).flatMap((group) => trialLines(plan, group)),
          ...groups.slice(1, SHOWN).map((group) => wrapped(headLine(group))),
          ...(groups.length > SHOWN ? [`… and ${groups.length - SHOWN} more.`] : []),
          `Together about ${amountText(minutes, pieces)}.`,
        ]),
    ...beforeMovingTexts(plan).map((text) => wrapped(text)),
    wrapped(safetyText(plan.safety, trials.length)),
  ];
  const rest = [
    wrapped(startSentence(plan)),
    "",
    ...(trials.length === 0
      ? []
      : [
          ...groups.flatMap((group) => trialLines(plan, group)),
          "",
          wrapped(
            `They bring at least ${chanceText(plan.efficiency)} of what the best choice of trial pieces could bring in the same time.`,
          ),
          "",
        ]),
    `Error sources, U (${COVERAGE.percent} %), expected`,
    textTable(["error source", "now", "after these"], rows, [1, 2]),
  ];
  return answerText({ answer, details: rest, wanted: details });
}

/** What the card waits for, in the words of the card. */
function beforeMovingTexts({ beforeMoving, trials, readingsBefore, job }: TrialPlan): string[] {
  if (readingsBefore > 0 && beforeMoving.length === 0 && trials.length > 0)
    return ["The card does not wait for any of these: they only make the widest gap better known."];
  return beforeMoving.map((reading) => {
    const place = trials.find(({ option }) => option.readings === reading.readings);
    const when = readingsBefore > 0 ? "Before you move anything" : "Worth fetching an instrument for";
    const [action, reason] = readTexts(reading, job);
    return place
      ? `${place.trial} comes first: the card waits for it. ${reason}`
      : `${when}: ${action} ${reason}`;
  });
}

/** Kinds of trial piece named in the answer; the first of them with its readings. */
const SHOWN = 5;

function startSentence({ aim, readingsBefore, gapBefore, job }: TrialPlan): string {
  const from =
    readingsBefore === 0
      ? "Before any reading, based on the job's tolerances"
      : `After ${readingsBefore} readings`;
  const to =
    aim === "gap"
      ? "these trial pieces tell you most about the widest gap of a cell"
      : "these trial pieces tell you most about every error source";
  return `${from}, ${to}. At present the error sources make the widest gap uncertain by ± ${smallLength(COVERAGE.factor * gapBefore, job.units)} (U, ${COVERAGE.percent} %).`;
}

function noneSentence({ quickest }: TrialPlan): string {
  return quickest === null
    ? "No trial piece that this job can cut and read would add to what is known already."
    : `No trial piece is as quick as that: the quickest takes about ${Math.ceil(quickest)} minutes, cutting included. Allow more.`;
}

/** Trials of a kind that follow each other, together. */
function alike(trials: readonly PlannedTrial[]): PlannedTrial[][] {
  const groups: PlannedTrial[][] = [];
  for (const trial of trials) {
    const last = groups.at(-1);
    if (last !== undefined && at(last, 0).option === trial.option) last.push(trial);
    else groups.push([trial]);
  }
  return groups;
}

/** `n1, n2: 2 times one whole diagonal, 5.5 minutes and 1 piece each`. */
function headLine(group: readonly PlannedTrial[]): string {
  const { option } = at(group, 0);
  const each = group.length > 1 ? `${group.length} times ` : "";
  return `${group.map(({ trial }) => trial).join(", ")}: ${each}${sampleText(option.sample)}, ${amountText(option.minutes, option.pieces)}${each && " each"}`;
}

function trialLines({ job }: TrialPlan, group: readonly PlannedTrial[]): string[] {
  const { option } = at(group, 0);
  const after = smallLength(COVERAGE.factor * at(group, group.length - 1).gapAfter, job.units);
  return [
    headLine(group),
    ...option.stops.map(({ station, readings }) =>
      wrapped(
        `${placeText(station.bench)} with ${station.instrument.name}: ${readingsText(readings, job)}`,
        92,
        "   ",
      ),
    ),
    `   then the widest gap is known to ± ${after}`,
  ];
}

function amountText(minutes: number, pieces: number): string {
  const shown = Number(minutes.toFixed(1));
  const time = `${shown} ${shown === 1 ? "minute" : "minutes"}`;
  return pieces === 0 ? time : `${time} and ${pieces} ${pieces === 1 ? "piece" : "pieces"}`;
}

/** A plan as plain data for other programs: lengths in mm, angles in degrees; an endless leeway is `null`. */
export function planJson(
  { aim, trials, sources, uncertainties, safety, ...plan }: TrialPlan,
  job: Job,
): object {
  return {
    ...evidenceJson(plan.posterior),
    aim,
    readingsBefore: plan.readingsBefore,
    minutes: plan.minutes,
    pieces: plan.pieces,
    efficiency: plan.efficiency,
    widestGapUncertainty: { before: plan.gapBefore, after: trials.at(-1)?.gapAfter ?? plan.gapBefore },
    trials: trials.map(({ option, trial, gapAfter, shareAfter }) => ({
      trial,
      sample: option.sample,
      minutes: option.minutes,
      pieces: option.pieces,
      widestGapUncertaintyAfter: gapAfter,
      shareAfter,
      readings: option.readings.map(({ bench, what, subject, at, instrument, setUp, round }) => ({
        setUp,
        round,
        bench,
        what,
        joint: subject,
        at,
        instrument,
      })),
    })),
    sources: sources.map(({ id, angular }, i) => {
      const unit = angular ? DEGREE : 1;
      const { before, after } = at(uncertainties, i);
      return {
        name: sourceText(id),
        id,
        unit: angular ? "deg" : "mm",
        before: before / unit,
        after: after / unit,
      };
    }),
    beforeMoving: plan.beforeMoving.map((reading) => ({
      text: readingName(reading, job),
      value: reading.value,
      cost: reading.cost,
      borrowed: reading.borrowed,
    })),
    safety: {
      sure: safety.sure,
      now: safety.now,
      afterPlan: safety.afterPlan,
      piecesNeeded: safety.piecesNeeded,
      trialsNeeded: safety.trialsNeeded,
      leeways: safety.leeways.map(({ adjuster, low, high }) => {
        const unit = adjuster.kind === "shim" ? DEGREE : 1;
        const end = (value: number): number | null => (Number.isFinite(value) ? value / unit : null);
        return {
          adjuster: adjuster.name,
          unit: adjuster.kind === "shim" ? "deg" : "mm",
          low: end(low),
          high: end(high),
        };
      }),
    },
  };
}

/** How well the widest gap is known now, and after each trial of the plan. */
export function drawPlan(
  { job, gapBefore, trials }: TrialPlan,
  options: Pick<ChartOptions, "width"> = {},
): Promise<Chart> {
  const unit: AxisUnit = smallUnit(job.units);
  let minutes = 0;
  const rows = [
    { label: "now", value: COVERAGE.factor * gapBefore },
    ...trials.map(({ trial, option, gapAfter }) => {
      minutes += option.minutes;
      return { label: `after ${trial}, ${Math.round(minutes)} minutes`, value: COVERAGE.factor * gapAfter };
    }),
  ];
  const title = "How well the gap is known";
  return drawChart(
    budgetBars(rows, { ...options, unit, title, axisTitle: `U of the widest gap, ${COVERAGE.percent} %` }),
  );
}

/**
 * The trials of a plan, one a row.
 *
 * @example
 * planTable(planTrials(job, [], { trials: 1, scenarios: 8 })).html.startsWith("<table") // true
 */
export function planTable({ job, trials }: TrialPlan): HtmlOutput {
  const judged = ({ option }: PlannedTrial): string =>
    option.stops
      .map(
        ({ station, readings }) =>
          `${placeText(station.bench)} with ${station.instrument.name}: ${readingsText(readings, job)}`,
      )
      .join("; ");
  const rows = trials.map((trial) => [
    trial.trial,
    sampleText(trial.option.sample),
    judged(trial),
    String(Number(trial.option.minutes.toFixed(1))),
    `± ${smallLength(COVERAGE.factor * trial.gapAfter, job.units)}`,
  ]);
  return plainTable(["trial piece", "cut", "read", "minutes", "widest gap known to"], rows, [3, 4]);
}

/** U of every error source now, and expected after the plan. */
export function uncertaintiesTable({ job, sources, uncertainties }: TrialPlan): HtmlOutput {
  const rows = sources.map(({ id, angular }, i) => {
    const text = (u: number): string =>
      `± ${angular ? angleText(COVERAGE.factor * u) : smallLength(COVERAGE.factor * u, job.units)}`;
    return [sourceText(id), text(at(uncertainties, i).before), text(at(uncertainties, i).after)];
  });
  return plainTable([`error source, U (${COVERAGE.percent} %)`, "now", "after the plan"], rows, [1, 2]);
}

/** The pictures of a plan. */
export const PLAN_PICTURES: readonly JobPicture[] = [
  {
    name: "plan",
    shows: "how well the widest gap is known after each trial piece to cut next",
    needs: "job",
    draw: ({ job, readings, seed, onProgress }) => drawPlan(planTrials(job, readings, { seed, onProgress })),
  },
];
