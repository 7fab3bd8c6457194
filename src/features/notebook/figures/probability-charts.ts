import { at } from "../../../core/numeric/dense.js";
import { normalCdf, normalPdf } from "../../../core/numeric/normal.js";
import type { LengthUnit } from "../../../core/quantity/index.js";
import type { SourceFit } from "../../../inference/estimates/fit-sources.js";
import { pairRegions } from "../../../inference/estimates/pair-regions.js";
import type { ChartSpec } from "../../../render/charts/chart-spec.js";
import {
  domainOf,
  type Meaning,
  plotted,
  rulesAt,
  SIGN,
  signs,
  tidy,
  upAxis,
  valueAxis,
} from "../../../render/charts/grammar.js";
import { type AxisUnit, axisTitle, quantityText, shown, smallUnit } from "../../../render/shop-numbers.js";
import { sourceText } from "../../../render/source-text.js";
import { PALETTE, STROKE } from "../../../render/style.js";

/** A curve of how well each value of a quantity fits, as a share of its best. */
interface Belief {
  readonly name: string;
  /** Relative density or likelihood at x, mm or rad. */
  readonly at: (x: number) => number;
}

interface BeliefsOptions {
  readonly title: string;
  readonly notes?: readonly string[];
  readonly x: { readonly title: string; readonly unit: AxisUnit };
  readonly from: number;
  readonly to: number;
  readonly width?: number | undefined;
}

const POINTS = 161;
const HEIGHT = 190;
const LOOKS = [
  { color: PALETTE.quiet, dash: [6, 3] },
  { color: PALETTE.attention, dash: [2, 2] },
  { color: PALETTE.computed, dash: [1, 0] },
] as const;

/** Up to three curves, each as a share of its own highest value. */
function beliefsChart(beliefs: readonly Belief[], options: BeliefsOptions): ChartSpec {
  const { title, notes = [], x, from, to, width } = options;
  const places = Array.from({ length: POINTS }, (_, i) => from + ((to - from) * i) / (POINTS - 1));
  const across = valueAxis("x", axisTitle(x.title, x.unit), width, {
    domain: [shown(from, x.unit), shown(to, x.unit)],
    nice: false,
    zero: false,
  });
  const up = upAxis("y", "Share of its highest value", width, [0, 1]);
  const meanings = beliefs.map(({ name }, i): Meaning => {
    const { color, dash } = at(LOOKS, i);
    return { text: name, color, shape: SIGN.line, dash };
  });
  const values = beliefs.flatMap((belief) => {
    const heights = places.map(belief.at);
    const highest = Math.max(...heights);
    return places.map((place, order) => ({
      meaning: belief.name,
      order,
      x: tidy(shown(place, x.unit)),
      y: tidy(at(heights, order) / highest),
    }));
  });
  const peaks = beliefs.map(({ name, at: height }) => {
    const best = places.reduce((most, place) => (height(place) > height(most) ? place : most), from);
    return `${name}: highest at ${quantityText(best, x.unit, x.unit === "mm" ? { digits: 3 } : {})}`;
  });
  return plotted(
    { title, notes, width, description: `${title}. ${peaks.join("; ")}.` },
    {
      height: HEIGHT,
      layer: [
        {
          data: { values },
          mark: { type: "line", strokeWidth: STROKE.mark, clip: true },
          encoding: {
            x: across,
            y: up,
            order: { field: "order" },
            ...signs(meanings, width, "stroke", "strokeDash"),
          },
        },
      ],
    },
  );
}

/** Units of the job, and width of a chart. */
export interface IdeaOptions {
  readonly units: LengthUnit;
  /** Width of the drawing in pixels. */
  readonly width?: number;
}

/** What a feeler gauge showed: the thickest leaf that goes in, the thinnest that does not, and how well it repeats. */
export interface LeafReading {
  /** mm; `null` where no leaf goes in. */
  readonly low: number | null;
  /** mm. */
  readonly high: number;
  /** Repeatability, mm, > 0. */
  readonly repeatability: number;
}

/**
 * How well each gap explains what a feeler gauge showed, beside a reading that gives a number: an interval is flat
 * within, and falls off over the gauge's repeatability at its ends.
 *
 * @example
 * leafLikelihoodChart({ low: 0.1, high: 0.15, repeatability: 0.005 }, { units: "mm" }).title.text.length > 0 // true
 */
export function leafLikelihoodChart(
  { low, high, repeatability }: LeafReading,
  { units, width }: IdeaOptions,
): ChartSpec {
  const unit = smallUnit(units);
  const said = (mm: number): string => quantityText(mm, unit, unit === "mm" ? { digits: 3 } : {});
  const from = low === null ? high - 0.12 : low;
  const margin = Math.max(high - from, 6 * repeatability);
  const interval = (gap: number): number =>
    normalCdf((high - gap) / repeatability) - (low === null ? 0 : normalCdf((low - gap) / repeatability));
  const middle = (from + high) / 2;
  return beliefsChart(
    [
      ...(low === null
        ? []
        : [
            {
              name: "a reading with a number",
              at: (gap: number) => normalPdf((gap - middle) / repeatability),
            },
          ]),
      {
        name:
          low === null
            ? `no leaf goes in, not even ${said(high)}`
            : `${said(low)} goes in, ${said(high)} does not`,
        at: interval,
      },
    ],
    {
      title: "What a leaf tells: an interval",
      notes: ["How well each true gap explains the reading."],
      x: { title: "True gap", unit },
      from: from - margin,
      to: high + margin,
      width,
    },
  );
}

/** Unit, title and width of a chart of spreads. */
export interface SpreadOptions {
  readonly unit: AxisUnit;
  readonly title: string;
  /** Sentences under the title. */
  readonly notes?: readonly string[];
  /** Width of the drawing in pixels. */
  readonly width?: number;
}

/** A quantity known to a standard deviation, read once by an instrument with another; mm or rad. */
export interface Narrowing {
  readonly priorSd: number;
  readonly readingSd: number;
  /** What was read, mm or rad. */
  readonly read: number;
}

/**
 * How one reading changes what is known: before, the reading alone, and both together, all of them normal. Both together
 * have the variance 1/(1/σ₀² + 1/σ²).
 *
 * @example
 * narrowingChart({ priorSd: 0.1, readingSd: 0.05, read: 0.08 }, { unit: "mm", title: "A good reading" }).title.text[0] // "A good reading"
 */
export function narrowingChart(
  { priorSd, readingSd, read }: Narrowing,
  { unit, title, width }: SpreadOptions,
): ChartSpec {
  const after = 1 / Math.hypot(1 / priorSd, 1 / readingSd);
  const mean = read * (after / readingSd) ** 2;
  const said = (value: number): string => quantityText(value, unit, unit === "mm" ? { digits: 3 } : {});
  const reach = 3 * priorSd;
  return beliefsChart(
    [
      { name: `before: ± ${said(priorSd)}`, at: (x) => normalPdf(x / priorSd) },
      { name: `the reading alone: ± ${said(readingSd)}`, at: (x) => normalPdf((x - read) / readingSd) },
      { name: `after: ± ${said(after)}`, at: (x) => normalPdf((x - mean) / after) },
    ],
    {
      title,
      notes: [`One standard deviation falls from ${said(priorSd)} to ${said(after)}.`],
      x: { title: "Error", unit },
      from: -reach,
      to: reach,
      width,
    },
  );
}

/** One spread of a quantity. */
export interface SpreadOf {
  readonly name: string;
  /** Standard deviation, mm or rad, ≥ 0. */
  readonly sd: number;
}

/**
 * Spreads of one quantity, each a normal curve about zero whose width is its standard deviation.
 *
 * @example
 * spreadsChart([{ name: "the gauge", sd: 0.02 }], { unit: "mm", title: "The gauge" }).title.text[0] // "The gauge"
 */
export function spreadsChart(spreads: readonly SpreadOf[], options: SpreadOptions): ChartSpec {
  const { unit, title, notes = [], width } = options;
  const reach = 3.2 * Math.max(...spreads.map(({ sd }) => sd));
  const least = reach / 200;
  return beliefsChart(
    spreads.map(({ name, sd }) => ({ name, at: (x) => normalPdf(x / Math.max(sd, least)) })),
    { title, notes, x: { title: "From the mean", unit }, from: -reach, to: reach, width },
  );
}

/** Most draws that are drawn. */
const MOST_DRAWS = 400;

/**
 * Draws of the two sources that the readings tie together most strongly: together they lie on a ridge, which no interval
 * of one of them shows. `null` where no two are tied, their correlation below a tenth in size.
 *
 * @example
 * ridgeChart(calibration.fit, { units: "mm" })?.title.text.join(" ") // "Two errors tied along a ridge"
 */
export function ridgeChart(fit: SourceFit, { units, width }: IdeaOptions): ChartSpec | null {
  const [region] = pairRegions(fit, 0.1);
  if (region === undefined) return null;
  const axes = region.pair.map((index) => {
    const source = at(fit.sources, index);
    const unit: AxisUnit = source.angular ? "deg" : smallUnit(units);
    return { index, unit, name: sourceText(source.id), source };
  });
  const [a, b] = [at(axes, 0), at(axes, 1)];
  const p = fit.sources.length;
  const count = fit.sample.length / p;
  const every = Math.max(1, Math.floor(count / MOST_DRAWS));
  const values = Array.from({ length: Math.floor(count / every) }, (_, k) => {
    const value = ({ index, unit }: typeof a): number =>
      tidy(shown(at(fit.sample, k * every * p + index), unit));
    return { x: value(a), y: value(b) };
  });
  const across = valueAxis("x", axisTitle(a.name, a.unit), width, {
    domain: domainOf(values.map(({ x }) => x)),
    nice: false,
    zero: false,
  });
  const up = upAxis("y", axisTitle(b.name, b.unit), width, domainOf(values.map(({ y }) => y)));
  const title = "Two errors tied along a ridge";
  const says = `Correlation ${region.correlation < 0 ? "−" : ""}${Math.abs(region.correlation).toFixed(2)}: together they are known better than either alone.`;
  const zero = { color: PALETTE.quiet };
  return plotted(
    {
      title,
      width,
      notes: ["Each dot is one pair of errors that fits the readings.", says],
      description: `${title}: ${a.name} and ${b.name}. ${says}`,
    },
    {
      height: 230,
      layer: [
        rulesAt([0], { x: { ...across, field: "value" } }, zero),
        rulesAt([0], { y: { ...up, field: "value" } }, zero),
        {
          data: { values },
          mark: { type: "circle", size: 18, opacity: 0.45, color: PALETTE.computed, clip: true },
          encoding: { x: across, y: up },
        },
      ],
    },
  );
}
