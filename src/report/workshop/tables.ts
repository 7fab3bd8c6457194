import type { GaugeStudy } from "../../gauge/gauge-study.js";
import type { PlannedTrial, TrialPlan } from "../../plan/plan-trials.js";
import { formatAngle, formatLength } from "../../quantity/index.js";
import type { Html } from "../display/show.js";
import { htmlTable } from "../text/html-table.js";
import { angleText, COVERAGE, smallLength } from "../text/shop-numbers.js";
import { textTable } from "../text/text-table.js";
import { placeText, readingsText, sampleText } from "./plan-words.js";

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
