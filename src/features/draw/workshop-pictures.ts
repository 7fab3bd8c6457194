import { formatAngle, formatLength } from "../../core/quantity/index.js";
import type { PlannedTrial, TrialPlan } from "../../inference/design/plan-trials.js";
import type { AxisUnit } from "../../render/charts/axes.js";
import { budgetBars } from "../../render/charts/budget-bars.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { runChart } from "../../render/charts/run-chart.js";
import { htmlTable } from "../../render/html.js";
import type { Html } from "../../render/notebook/display.js";
import { angleText, COVERAGE, smallLength } from "../../render/shop-numbers.js";
import { textTable } from "../../render/text.js";
import type { NamedWatch } from "../batch/index.js";
import type { GaugeStudy } from "../gauge/index.js";
import { placeText, readingsText, sampleText } from "../plan/index.js";

/** How well the worst gap is known now, and after each trial of the plan. */
export function drawPlan({ job, gapBefore, trials }: TrialPlan): Promise<Chart> {
  const unit: AxisUnit = job.units === "mm" ? "mm" : "thou";
  let minutes = 0;
  const rows = [
    { label: "now", value: COVERAGE.factor * gapBefore },
    ...trials.map(({ trial, option, gapAfter }) => {
      minutes += option.minutes;
      return { label: `after ${trial}, ${Math.round(minutes)} minutes`, value: COVERAGE.factor * gapAfter };
    }),
  ];
  const title = "How well the gap is known";
  return drawChart(budgetBars(rows, { unit, title, axisTitle: `U of the worst gap, ${COVERAGE.percent} %` }));
}

/** Where the variance of a study's readings comes from. */
export function drawGauge({ components }: GaugeStudy): Promise<Chart> {
  const { repeatability, reproducibility, parts, total } = components;
  const share = (standardDeviation: number): number => (standardDeviation / total) ** 2;
  const rows = [
    { label: "from part to part", value: share(parts.standardDeviation) },
    { label: "one reader, one part again", value: share(repeatability.standardDeviation) },
    ...(reproducibility
      ? [{ label: "from reader to reader", value: share(reproducibility.standardDeviation) }]
      : []),
  ];
  const title = "Why the readings differ";
  return drawChart(
    budgetBars(rows, { unit: "share", title, axisTitle: "Share of the variance of the readings" }),
  );
}

/** A batch piece by piece, with its moving average and the limits of both. */
export function drawBatch({ what, units, ids, piece, watch }: NamedWatch): Promise<Chart> {
  const { values, individuals, ewma, target } = watch;
  const unit: AxisUnit = what === "gap" && units === "in" ? "thou" : units;
  const named = what === "gap" ? "Gap" : "Length";
  const input = {
    rows: values.map((value, i) => ({ id: ids[i]!, value, average: ewma.averages[i]! })),
    ...{ target, single: individuals, moving: ewma },
  };
  return drawChart(runChart(input, { unit, axisTitle: piece === "" ? named : `${named} of ${piece}` }));
}

const bothWays = (heading: string[], rows: string[][], right: number[]): Html => ({
  html: htmlTable(heading, rows, right),
  text: textTable(heading, rows, right),
});

/** The trials of a plan, one a row. */
export function planTable({ job, trials }: TrialPlan): Html {
  const judged = ({ option }: PlannedTrial): string =>
    option.stops
      .map(
        ({ station, readings }) =>
          `${placeText(station.bench)} with ${station.instrument.name}: ${readingsText(readings)}`,
      )
      .join("; ");
  const rows = trials.map((trial) => [
    trial.trial,
    sampleText(trial.option.sample),
    judged(trial),
    String(Number(trial.option.minutes.toFixed(1))),
    `± ${smallLength(COVERAGE.factor * trial.gapAfter, job.units)}`,
  ]);
  return bothWays(["trial", "cut", "read", "minutes", "worst gap known to"], rows, [3, 4]);
}

/** U of every error source now, and expected after the plan. */
export function uncertaintiesTable({ job, sources, uncertainties }: TrialPlan): Html {
  const rows = sources.map(({ name, angular }, i) => {
    const text = (u: number): string =>
      `± ${angular ? angleText(COVERAGE.factor * u) : smallLength(COVERAGE.factor * u, job.units)}`;
    return [name, text(uncertainties[i]!.before), text(uncertainties[i]!.after)];
  });
  return bothWays([`error source, U (${COVERAGE.percent} %)`, "now", "after the plan"], rows, [1, 2]);
}

/** What a study found, by both methods. */
export function gaugeTable(
  { components, ranges }: GaugeStudy,
  kind: "angle" | "length",
  units: "mm" | "in" = "mm",
): Html {
  const text = (value: number): string => {
    if (kind === "angle") return formatAngle(value, { digits: 3 });
    return units === "mm"
      ? formatLength(value, { unit: "mm", digits: 4 })
      : formatLength(value, { unit: "in", style: "thou", digits: 2 });
  };
  const { repeatability, reproducibility, gauge, parts } = components;
  const row = (name: string, spread: typeof gauge, byRanges: number): string[] => [
    name,
    text(spread.standardDeviation),
    text(byRanges),
    spread.degreesOfFreedom.toFixed(spread.degreesOfFreedom < 10 ? 1 : 0),
  ];
  const rows = [
    row("one reader, one part again", repeatability, ranges.repeatability),
    ...(reproducibility ? [row("from reader to reader", reproducibility, ranges.reproducibility)] : []),
    row("gauge: both together", gauge, ranges.gauge),
    row("from part to part", parts, ranges.parts),
  ];
  return bothWays(
    ["standard deviation", "analysis of variance", "ranges", "degrees of freedom"],
    rows,
    [1, 2, 3],
  );
}
