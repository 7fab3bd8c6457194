import type { AxisUnit } from "../../charts/axis-unit.js";
import { budgetBars } from "../../charts/budget-bars.js";
import { type ChartSpec, chartLabels } from "../../charts/chart-spec.js";
import { type Chart, chart } from "../../charts/render/chart.js";
import { runChart } from "../../charts/run-chart.js";
import type { GaugeStudy } from "../../gauge/gauge-study.js";
import type { TrialPlan } from "../../plan/plan-trials.js";
import { COVERAGE } from "../text/shop-numbers.js";
import type { NamedWatch } from "./batch-text.js";

const drawn = (spec: ChartSpec): Promise<Chart> => chart(spec, chartLabels(spec));

/** How well the worst gap is known now, and after each trial of the plan. */
export function planPicture({ job, gapBefore, trials }: TrialPlan): Promise<Chart> {
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
  return drawn(budgetBars(rows, { unit, title, axisTitle: `U of the worst gap, ${COVERAGE.percent} %` }));
}

/** Where the variance of a study's readings comes from. */
export function gaugePicture({ components }: GaugeStudy): Promise<Chart> {
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
  return drawn(
    budgetBars(rows, { unit: "share", title, axisTitle: "Share of the variance of the readings" }),
  );
}

/** A batch piece by piece, with its moving average and the limits of both. */
export function batchPicture({ what, units, ids, piece, watch }: NamedWatch): Promise<Chart> {
  const { values, individuals, ewma, target } = watch;
  const unit: AxisUnit = what === "gap" && units === "in" ? "thou" : units;
  const named = what === "gap" ? "Gap" : "Length";
  const input = {
    rows: values.map((value, i) => ({ id: ids[i]!, value, average: ewma.averages[i]! })),
    ...{ target, single: individuals, moving: ewma },
  };
  return drawn(runChart(input, { unit, axisTitle: piece === "" ? named : `${named} of ${piece}` }));
}
