import { at, present } from "../../core/numeric/dense.js";
import {
  type OrderDifference,
  TRIM_QUANTILES,
  type TrimForecast,
  type WorstAtOnce,
} from "../../inference/forecast/cross-checks.js";
import { type CellForecast, type Forecast, startsLong } from "../../inference/forecast/forecast-cells.js";
import type { SourceGroup } from "../../inference/forecast/forecast-sources.js";
import type { GroupBudget } from "../../inference/forecast/group-budget.js";
import type { ShopRange } from "../../inference/forecast/shop-range.js";
import type { Estimated } from "../../inference/forecast/tally-blocks.js";
import { shortJointNames } from "../../model/cell/joint-names.js";
import { answerText } from "../../render/cautions.js";
import { evidenceText, shopRangeText } from "../../render/evidence-text.js";
import { cellText } from "../../render/shared-text.js";
import {
  angleText,
  chanceText,
  errorText,
  expandedParts,
  percentText,
  shareText,
  signed,
  smallLength,
  smallUnit,
} from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { textTable, wrapped } from "../../render/text.js";

type Units = Forecast["job"]["units"];

/** A forecast for reading: how often the cells to come close, the joints and the sources to look at; then all joints, what drives the gap, and how far to trust it. */
export function forecastText(forecast: Forecast, details = true): string {
  const { job, posterior, cell, shops, joints, sources, orders, budget, trials, trims } = forecast;
  const { units, limits } = job;
  const length = (mm: number): string => smallLength(mm, units);
  const unit = smallUnit(units);
  const answer = [
    evidenceText(posterior),
    ...(job.title === "" ? [] : [job.title]),
    cellText(job),
    "",
    "THE CELLS TO COME",
    `closes                     ${percentText(cell.closes)}`,
    ...(shops === null ? [] : [shopsLine(shops)]),
    `gap over ${length(limits.gap).padEnd(18)}${percentText(cell.beyondGap)}`,
    ...(trims === null
      ? [`press over ${length(limits.snug).padEnd(16)}${percentText(cell.beyondPress)}`]
      : [
          wrapped(
            `Each piece fitted by trial to ${length(limits.snug)} press, from pieces ${startsLong(posterior) ? "that start long enough" : "as the stops cut them; one that is too short stays so"}. No cell fails by its press: every piece has gone in by hand, and those already in are pressed further by those that follow.`,
          ),
        ]),
    ...widestJoints(forecast).map((line) => wrapped(line)),
    ...dearestSources(budget).map((line) => wrapped(line)),
    "Measure trial cuts before you move anything.",
  ];
  const rest = [
    wrapped(runSentence(forecast)),
    textTable(
      ["share of the cells", `widest gap at most (${unit})`, `deepest press at most (${unit})`],
      cell.quantiles.map((gap, i) => [
        `${Math.round(100 * gap.p)} %`,
        lengthWithin(gap, units),
        lengthWithin(at(cell.pressQuantiles, i), units),
      ]),
      [0, 1, 2],
    ),
    ...(shops === null ? [] : [wrapped(shopsSentence(shops))]),
    wrapped(shortestSentence(cell, units)),
    wrapped(linearSentence(cell, units)),
    ...(orders === null ? [] : [wrapped(orderSentence(orders, units))]),
    ...(forecast.atOnce === null ? [] : [wrapped(atOnceSentence(forecast.atOnce, cell, units))]),
    "",
    "JOINT BY JOINT, widest end",
    jointTable(forecast),
    wrapped(
      `Chances good to ± ${percentOf(Math.max(...joints.flatMap(({ beyondGap, beyondPress, closes }) => [beyondGap, beyondPress, closes].map(halfWidth))))} or better. “By rule” is the chance of a gap over the limit by the law of propagation alone, “rule” whether that may be trusted.`,
    ),
    "",
    ...(trims === null ? [] : [...trimLines(forecast, trims), ""]),
    ...(budget === null
      ? ["The budget was not worked out."]
      : budgetLines(budget, posterior.basis.readings > 0)),
    "",
    "WHAT WENT IN",
    textTable(
      ["error source", "", "about", "standard deviation"],
      sources.groups.flatMap((group) => sourceRows(group, units)),
      [2, 3],
    ),
    ...(job.asCut === null
      ? []
      : [wrapped("The errors of the one cell that the job describes as cut are not in these figures.")]),
    "",
    wrapped(
      `Each ± is for ${trials.toLocaleString("en")} simulated cells${posterior.basis.readings === 0 ? "" : ` in ${posterior.draws.toLocaleString("en")} shops that the readings allow`} instead of infinitely many (95 %); it does not cover errors in the job's own figures.`,
    ),
  ];
  return answerText({ answer, details: rest, wanted: details });
}

/** The joints that fail most often. */
function widestJoints({ joints, sources: { cell } }: Forecast): string[] {
  const short = shortJointNames(cell);
  const worst = joints.toSorted((a, b) => a.closes.value - b.closes.value).slice(0, 3);
  const named = worst.map(
    ({ joint, closes }) => `${short.get(joint) ?? joint} (closes in ${chanceText(closes.value)})`,
  );
  return named.length === 0 ? [] : [`Joints to look at first: ${named.join("; ")}.`];
}

/** The sources that cost most cells, where the budget shows any. */
function dearestSources(budget: GroupBudget | null): string[] {
  const lines = budget?.status === "constant" ? [] : (budget?.lines ?? []);
  const dear = lines
    .filter(({ drop }) => drop.low > 0)
    .toSorted((a, b) => b.drop.value - a.drop.value)
    .slice(0, 3);
  if (dear.length === 0) return [];
  const named = dear.map(
    ({ group, drop }) =>
      `${sourceText(group.id)} (if it were right, ${moreCells(chanceText(drop.value).replace(" %", ""))} of 100 would close)`,
  );
  return [`Work first on: ${named.join("; ")}.`];
}

/** Of a part of a hundred in whole numbers: `92 more cells`, `under 1 more cell`. */
const moreCells = (points: string): string =>
  `${points} more ${/^(?:under )?1$/.test(points) ? "cell" : "cells"}`;

function runSentence({ trials, status, order, seed, tolerance, job }: Forecast): string {
  const cells = `${trials.toLocaleString("en")} simulated cells, ${order} order, seed ${seed}`;
  if (status === "stable") return `${cells}: stable to ± ${fine(tolerance!, job.units)}.`;
  if (status === "not stable") return `${cells}: not yet stable to ± ${fine(tolerance ?? 0, job.units)}.`;
  if (status === "stopped") return `${cells}: stopped early, this is what is known so far.`;
  return `${cells}.`;
}

/** Aligned with the lines of chances. */
const shopsLine = (shops: ShopRange): string => `  likely range, 8 in 10    ${shopRangeText(shops, 0.8)}`;

/** What a chance to close is an average over. */
function shopsSentence(shops: ShopRange): string {
  const { hardlyAny, nearlyAll } = shops;
  const extremes =
    hardlyAny + nearlyAll < 0.02
      ? ""
      : ` Fewer than one cell in twenty closes in ${chanceText(hardlyAny)} of these shops, more than nineteen in twenty in ${chanceText(nearlyAll)}.`;
  return `The chance to close is an average over all the shops that this evidence allows. Yours is one of them: ${shopRangeText(shops, 0.95)} of its cells will close (95 %).${extremes}`;
}

function jointTable({ job, joints, trims, sources: { cell } }: Forecast): string {
  const short = shortJointNames(cell);
  const length = (mm: number): string => smallLength(mm, job.units);
  // Where pieces are fitted by trial no joint fails by its press.
  const pressed = trims === null;
  return textTable(
    [
      ...["joint", "gap over", ...(pressed ? ["press over"] : [])],
      ...["closes", "median", "95 % under", "by rule", "rule"],
    ],
    [...joints]
      .sort((a, b) => a.closes.value - b.closes.value)
      .map(({ joint, beyondGap, beyondPress, closes, quantiles, linear, linearVerdict }) => [
        short.get(joint) ?? joint,
        ...[beyondGap, ...(pressed ? [beyondPress] : []), closes].map(({ value }) => shareText(value)),
        ...[0.5, 0.95].map((share) => length(present(quantiles.find(({ p }) => p === share)).value)),
        shareText(linear.beyondGap),
        linearVerdict.status,
      ]),
    pressed ? [1, 2, 3, 4, 5, 6] : [1, 2, 3, 4, 5],
  );
}

const halfWidth = ({ low, high }: Estimated): number => (high - low) / 2;

/** `0.08 %`, rounded up: never better than it is. */
const percentOf = (half: number): string => `${(Math.ceil(1e4 * half) / 100).toFixed(2)} %`;

/** `0.0670 ± 0.0002` in the unit of small lengths. */
function lengthWithin(estimated: Estimated, units: Units): string {
  const half = halfWidth(estimated);
  const unit = smallUnit(units);
  if (!(half > 0)) return smallLength(estimated.value, units).replace(/[^\d.]+$/, "");
  const { value, uncertainty } = expandedParts(estimated.value, half, unit);
  return `${value} ± ${uncertainty}`;
}

/** A length below what smallLength shows: two figures. */
function fine(mm: number, units: Units): string {
  return units === "mm" ? `${Number(mm.toPrecision(2))} mm` : `${Number((mm / 0.0254).toPrecision(2))} thou`;
}

function shortestSentence({ shortest, shortestErrors }: CellForecast, units: Units): string {
  const [low, high] = shortest.map((end) => smallLength(end, units));
  const errors =
    shortestErrors === null
      ? ""
      : ` (standard errors of its ends ${shortestErrors.map((error) => fine(error, units)).join(" and ")})`;
  return `The shortest interval that holds 95 % of the widest gaps is ${low} to ${high}${errors}.`;
}

const TRUST = {
  trusted: "the two agree and the rule may be trusted here",
  "not trusted": "the rule may not be trusted here; take the simulated figures",
  undecided: "more cells are needed to tell whether the rule may be trusted",
} as const;

/** Adding up tolerances, and what comes of it instead. */
function atOnceSentence(
  { deviations, sources, ...worst }: WorstAtOnce,
  cell: CellForecast,
  units: Units,
): string {
  const length = (mm: number): string => smallLength(mm, units);
  const of99 = (all: CellForecast["quantiles"]): number => present(all.find(({ p }) => p === 0.99)).value;
  const [gap, press] = [of99(cell.quantiles), of99(cell.pressQuantiles)];
  const rare = gap < worst.widestGap && press < worst.deepestPress;
  return [
    `With ${sources === 1 ? "the only source" : `all ${sources} sources`} up to ${deviations} standard deviations off${sources === 1 ? "" : " at once"}, the way that does most harm, a gap may reach at least ${length(worst.widestGap)} and a press at least ${length(worst.deepestPress)}.`,
    rare
      ? `Errors hardly ever combine so: 99 % of the cells stay under ${length(gap)} and ${length(press)}.`
      : `With so little else at work that is no rare cell: 99 % of the cells stay under ${length(gap)} and ${length(press)}.`,
  ].join(" ");
}

function linearSentence({ linear, linearVerdict, quantiles }: CellForecast, units: Units): string {
  const length = (mm: number): string => smallLength(mm, units);
  const { differences, tolerance, status } = linearVerdict;
  const upper = present(quantiles.find(({ p }) => p === 0.95));
  return `By the law of propagation, which takes the widest gap as one straight line in the errors: ${length(linear.interval[0])} to ${length(linear.interval[1])} (95 %), over the limit in ${shareText(linear.beyondGap)} of the cells. Simulation puts 95 % of the cells under ${length(upper.value)}. The interval ends differ by up to ${length(Math.max(...differences))} where ${length(tolerance)} is allowed: ${TRUST[status]}.`;
}

function orderSentence({ trials, fails, changed, widestGap }: OrderDifference, units: Units): string {
  const length = (mm: number): string => smallLength(mm, units);
  return `First against exact order, the same ${trials.toLocaleString("en")} cells in both: ${percentText(fails.first)} and ${percentText(fails.exact)} fail to close, ${percentText(changed)} differ between the two; the widest gap in exact order differs by ${errorText(widestGap.mean, widestGap.standardError, "length", units)} on average, by ${length(widestGap.rootMeanSquare)} in root mean square, by ${length(widestGap.largest)} at most.`;
}

/** @param known whether the errors are known from readings: then those that cost most cells stand first, not those that vary most. */
function budgetLines({ status, fails, evaluations, lines }: GroupBudget, known: boolean): string[] {
  if (status === "constant") return ["The widest gap does not vary: there is no budget."];
  return [
    known ? "WHAT COSTS MOST CELLS, largest first" : "WHAT DRIVES THE WIDEST GAP, largest first",
    textTable(
      ["error source", "alone", "with all it touches", "fewer failures if perfect"],
      (known ? lines.toSorted((a, b) => b.drop.value - a.drop.value) : lines).map(
        ({ group, first, total, drop }) => [
          sourceText(group.id),
          percentText(first),
          percentText(total),
          percentText(drop),
        ],
      ),
      [1, 2, 3],
    ),
    wrapped(
      `Alone: share of the spread (variance) of the widest gap that would go if only this were known. With all it touches: share that would stay if all else were known. Failures: ${percentText(fails)} of the cells fail to close; the last column says by how many percentage points fewer if this source had no error. From ${evaluations.toLocaleString("en")} cells.`,
    ),
  ];
}

function sourceRows({ id, shared, spread }: SourceGroup, units: Units): string[][] {
  const rows = new Map<string, string[]>();
  for (const { mean, deviation, angular } of spread) {
    const text = (value: number): string => (angular ? angleText(value) : smallLength(value, units));
    const row = [sourceText(id), shared ? "shared" : "each anew", text(mean), text(deviation)];
    rows.set(row.join(), row);
  }
  return [...rows.values()];
}

/** What comes off the pieces of cells to come, for reading. */
function trimLines({ job, unfitted }: Forecast, trims: readonly TrimForecast[]): string[] {
  const { units } = job;
  const length = (mm: number): string => signed(smallLength(mm, units));
  return [
    "WHAT COMES OFF, from pieces cut at the stops as the job describes them",
    textTable(
      [
        "fitted together",
        "too short as cut",
        ...TRIM_QUANTILES.map((p) => `${Math.round(100 * p)} % at most`),
      ],
      trims.map(({ group, tooShort, wanted }) => [
        group,
        percentText(tooShort),
        ...wanted.map(({ value }) => length(value)),
      ]),
      [1, 2, 3, 4, 5],
    ),
    wrapped(
      "Change of length at which the pieces fit: minus comes off, plus would have to be there. Too short: the piece goes in looser than the snug limit and cannot be lengthened. A stop set longer by the last column leaves one piece in a hundred too short.",
    ),
    ...(unfitted === 0
      ? []
      : [
          wrapped(
            `${unfitted.toLocaleString("en")} times pieces could not be fitted at any length within a quarter of their own: the errors drawn are too large, and those cells say nothing.`,
          ),
        ]),
  ];
}
