import type { PlannedTrial, TrialPlan } from "../../inference/design/plan-trials.js";
import { CAUTIONS } from "../../render/cautions.js";
import { angleText, COVERAGE, chanceText, smallLength } from "../../render/shop-numbers.js";
import { textTable, wrapped } from "../../render/text.js";
import { placeText, readingsText, safetyText, sampleText } from "./reading-text.js";

/** A plan for reading: the trials one by one, what will be known after them, and when the verdict is safe. */
export function planText(plan: TrialPlan): string {
  const { job, trials, minutes, pieces, sources, uncertainties } = plan;
  const rows = sources.map((source, i) => {
    const text = (u: number): string =>
      source.angular ? angleText(COVERAGE.factor * u) : smallLength(COVERAGE.factor * u, job.units);
    return [source.name, `± ${text(uncertainties[i]!.before)}`, `± ${text(uncertainties[i]!.after)}`];
  });
  return [
    "WHAT TO CUT NEXT",
    wrapped(startSentence(plan)),
    "",
    ...(trials.length === 0
      ? [wrapped(noneSentence(plan))]
      : [
          ...alike(trials).flatMap((group) => trialLines(plan, group)),
          "",
          `Together about ${amountText(minutes, pieces)}.`,
          wrapped(
            `These gain ${chanceText(plan.efficiency)} of what any choice among the trials weighed could in as many minutes (a bound that none beats).`,
          ),
        ]),
    "",
    `Error sources, U (${COVERAGE.percent} %), expected`,
    textTable(["error source", "now", "after these"], rows, [1, 2]),
    "",
    wrapped(safetyText(plan.safety, trials.length)),
    "",
    ...CAUTIONS.map((line) => wrapped(line)),
    "",
  ].join("\n");
}

function startSentence({ aim, readingsBefore, gapBefore, job }: TrialPlan): string {
  const from =
    readingsBefore === 0
      ? "Before any reading, from what the job trusts"
      : `After ${readingsBefore} readings`;
  const to = aim === "gap" ? "to know the worst gap of a cell best" : "to know every error source best";
  return `${from}, ${to}. Not knowing the sources now makes the worst gap uncertain by ± ${smallLength(COVERAGE.factor * gapBefore, job.units)} (U, ${COVERAGE.percent} %).`;
}

function noneSentence({ quickest }: TrialPlan): string {
  return quickest === null
    ? "No trial that this job can cut and read tells anything that is not known already."
    : `No trial is as quick as that: the quickest takes about ${Math.ceil(quickest)} minutes, cutting included. Allow more.`;
}

/** Trials of a kind that follow each other, together. */
function alike(trials: readonly PlannedTrial[]): PlannedTrial[][] {
  const groups: PlannedTrial[][] = [];
  for (const trial of trials) {
    const last = groups.at(-1);
    if (last !== undefined && last[0]!.option === trial.option) last.push(trial);
    else groups.push([trial]);
  }
  return groups;
}

function trialLines({ job }: TrialPlan, group: readonly PlannedTrial[]): string[] {
  const { option } = group[0]!;
  const after = smallLength(COVERAGE.factor * group.at(-1)!.gapAfter, job.units);
  const each = group.length > 1 ? `${group.length} times ` : "";
  return [
    `${group.map(({ trial }) => trial).join(", ")}: ${each}${sampleText(option.sample)}, ${amountText(option.minutes, option.pieces)}${each && " each"}`,
    ...option.stops.map(({ station, readings }) =>
      wrapped(
        `${placeText(station.bench)} with ${station.instrument.name}: ${readingsText(readings)}`,
        92,
        "   ",
      ),
    ),
    `   then the worst gap is known to ± ${after}`,
  ];
}

const amountText = (minutes: number, pieces: number): string =>
  `${Number(minutes.toFixed(1))} minutes and ${pieces} ${pieces === 1 ? "piece" : "pieces"}`;
