import { UserError } from "../../core/errors.js";
import { type AxisUnit, axisTitle, isAngle, quantityText, shown } from "../shop-numbers.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { textWidth, titleLines } from "../text-layout.js";
import { tidy, valueAxis } from "./axes.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import type { ChartPanel, Layer } from "./chart-views.js";
import { framed, legendPanel, SWATCH } from "./framed.js";
import { type Across, boxes, lines, px, texts } from "./marks.js";

/** Worst gaps of many simulated cells, and what to say of them in the legend: `34 % close`. */
interface GapSpread extends BinnedGaps {
  readonly says?: string;
}

interface GapDistributionInput {
  readonly before: GapSpread;
  /** After the recommended move; `null` when nothing is to be moved. Same edges as before. */
  readonly after: GapSpread | null;
  /** mm. */
  readonly gapLimit: number;
}

interface GapDistributionOptions extends ChartOptions {
  /** mm, in or thou. */
  readonly unit: AxisUnit;
  /** What the two spreads are called; default `as it is` and `after the move`. */
  readonly names?: { readonly before: string; readonly after: string };
  /** Axis title without its unit; default {@link DEFAULT_GAP_AXIS}. */
  readonly axisTitle?: string;
}

const DEFAULT_GAP_AXIS = "Widest gap of a cell";
const DEFAULT_NAMES = { before: "as it is", after: "after the move" };
const TITLE = "How wide the gaps will be";
const HEIGHT = 190;
/** Free room over the steps for the limit's label, px. */
const HEADROOM = 24;
/** Free room left of the steps for the figures of the upright axis, px. */
const FIGURES = 30;

const BEFORE: StepStyle = {
  fill: PALETTE.earlierPale,
  opacity: 1,
  stroke: PALETTE.quiet,
  width: STROKE.mark,
  dash: [5, 3],
};
const AFTER: StepStyle = {
  fill: PALETTE.computed,
  opacity: 0.3,
  stroke: PALETTE.computed,
  width: STROKE.mark,
  dash: [],
};

interface StepStyle {
  readonly fill: string;
  readonly opacity: number;
  readonly stroke: string;
  readonly width: number;
  readonly dash: readonly number[];
}

/**
 * The worst gaps of simulated cells as steps, before and after a move, with the gap limit.
 *
 * @throws UserError (code "chart") for an angle unit, a limit that is no number, or spreads with different edges.
 */
export function gapDistribution(input: GapDistributionInput, options: GapDistributionOptions): ChartSpec {
  const { before, after, gapLimit } = input;
  const { unit, names = DEFAULT_NAMES } = options;
  if (isAngle(unit))
    throw new UserError("chart", `Gaps have no such unit: it must be mm, in or thou; it is ${unit}.`);
  requireFinite(gapLimit, "gap limit");
  for (const spread of after === null ? [before] : [before, after]) requireSpread(spread, before.edges);
  const title = options.title ?? TITLE;
  const limit = quantityText(gapLimit, unit);
  const named = (name: string, spread: GapSpread): string => (spread.says ? `${name}: ${spread.says}` : name);
  const texts = [named(names.before, before), ...(after === null ? [] : [named(names.after, after)])];
  const beyond = Math.max(before.beyond, after?.beyond ?? 0);
  const notes = beyond > 0 ? [`Beyond the axis: at most ${(100 * beyond).toFixed(1)} % of the cells.`] : [];
  return framed(
    {
      title,
      notes,
      description: `${title}: ${texts.join("; ")}. Gap limit ${limit}. ${notes.join("")}`.trim(),
      width: options.width,
    },
    [legend(texts, options.width), panel(input, options, limit)],
  );
}

function requireSpread({ edges, shares }: GapSpread, wanted: readonly number[]): void {
  if (edges.length < 2 || edges.length !== shares.length + 1)
    throw new UserError(
      "chart",
      `The gaps cannot be drawn: there must be one edge more than there are steps; there are ${edges.length} and ${shares.length}.`,
    );
  if (edges.length !== wanted.length || edges.some((edge, i) => edge !== wanted[i]))
    throw new UserError(
      "chart",
      `The two spreads cannot be compared: they must have the same edges; one has ${wanted.length}, the other ${edges.length}. Bin both with the same call of gapEdges.`,
    );
  shares.forEach((share, i) => {
    requireFinite(share, `share of step ${i + 1}`);
  });
}

function panel(input: GapDistributionInput, options: GapDistributionOptions, limit: string): ChartPanel {
  const { before, after, gapLimit } = input;
  const { unit } = options;
  const room = plotWidth(options.width);
  const edges = before.edges.map((edge) => shown(edge, unit));
  const across = valueAxis({
    title: axisTitle(options.axisTitle ?? DEFAULT_GAP_AXIS, unit),
    stretch: { low: edges[0]!, high: Math.max(edges.at(-1)!, 1.04 * shown(gapLimit, unit)) },
    from: FIGURES,
    to: room,
  });
  const highest = 100 * Math.max(...before.shares, ...(after?.shares ?? []));
  const step = quantityText(before.edges[1]! - before.edges[0]!, unit, { digits: 3 });
  const up = upAxis(highest, titleLines(`Cells in each step of ${trimmed(step)} (%)`, room, SIZE.small));
  return {
    width: room,
    height: HEIGHT,
    layer: [
      ...steps(before, edges, across, up, BEFORE),
      ...(after === null ? [] : steps(after, edges, across, up, AFTER)),
      ...limitRule(shown(gapLimit, unit), `limit ${limit}`, across, room),
    ],
  };
}

/** `0.010 mm` → `0.01 mm`. */
const trimmed = (text: string): string => text.replace(/(\.\d*?)0+(?= )/, "$1").replace(/\.(?= )/, "");

type Up = NonNullable<Across>;

/** Percent, its figures left of the steps over their lines, its title above it. */
function upAxis(highest: number, title: string[]): Up {
  return {
    field: "share",
    type: "quantitative",
    scale: { domain: [0, tidy(highest || 1)], range: [HEIGHT, HEADROOM], nice: false, zero: true },
    axis: {
      title,
      titleAngle: 0,
      titleAlign: "left",
      titleAnchor: "end",
      titleBaseline: "bottom",
      titleX: 0,
      titleY: -6,
      tickCount: 4,
      ticks: false,
      domain: false,
      labelAlign: "left",
      labelBaseline: "bottom",
      labelPadding: -2,
      labelColor: PALETTE.quiet,
      labelOffset: -1,
      zindex: 1,
    },
  };
}

function steps(
  { shares }: GapSpread,
  edges: readonly number[],
  across: Across,
  up: Up,
  style: StepStyle,
): Layer[] {
  const values = edges.map((edge, i) => ({
    x: tidy(edge),
    share: tidy(100 * (shares[Math.min(i, shares.length - 1)] ?? 0)),
  }));
  return [
    {
      data: { values },
      mark: {
        type: "area",
        interpolate: "step-after",
        fill: style.fill,
        fillOpacity: style.opacity,
        line: { color: style.stroke, strokeWidth: style.width, strokeDash: [...style.dash] },
        clip: true,
      },
      encoding: { x: across, y: up },
    },
  ];
}

/** An upright line at the limit, its label on the side with more room. */
function limitRule(at: number, text: string, across: Across, room: number): Layer[] {
  const line = lines(
    [{ x: tidy(at), x2: tidy(at), y: 2, y2: HEIGHT }],
    { color: PALETTE.attention, width: STROKE.mark, dash: [7, 3] },
    across,
  );
  const domain = (across as { scale: { domain: [number, number] } }).scale.domain;
  const x = px(FIGURES + ((room - FIGURES) * (at - domain[0])) / (domain[1] - domain[0]));
  const right = x + 8 + textWidth(text, SIZE.text, "bold") <= room;
  return [
    ...line,
    ...texts([{ x: right ? x + 7 : x - 7, y: 14, text }], {
      align: right ? "left" : "right",
      weight: "bold",
      color: PALETTE.attention,
      halo: PALETTE.paper,
    }),
  ];
}

function legend(names: readonly string[], width: number | undefined): ChartPanel {
  return legendPanel(
    names.map((text, i) => ({
      text,
      swatch: (x, y) => {
        const { fill, opacity, stroke, dash, width: strokeWidth } = i === 0 ? BEFORE : AFTER;
        return [
          ...boxes([{ x, x2: x + SWATCH, y: y - 4, y2: y + 7 }], { fill, opacity }),
          ...lines([{ x, x2: x + SWATCH, y: y - 4, y2: y - 4 }], { color: stroke, width: strokeWidth, dash }),
        ];
      },
    })),
    width,
  );
}

/** Simulated gaps sorted into steps of equal width. */
interface BinnedGaps {
  /** Edges of the steps, mm, rising: one more than there are shares. */
  readonly edges: readonly number[];
  /** Share of all gaps in each step, from its lower edge (not counted in) to its upper (counted in); the first step counts both. */
  readonly shares: readonly number[];
  /** Share of all gaps beyond the last edge. */
  readonly beyond: number;
}

interface GapEdgesOptions {
  /** mm, > 0; an edge, so that a step lies wholly within the limit or wholly beyond, unless the gaps reach beyond `most` times the limit. */
  readonly gapLimit: number;
  /** How many steps there are at most; default {@link DEFAULT_MOST_BINS}. */
  readonly most?: number;
}

const DEFAULT_MOST_BINS = 40;
/** Share of the gaps that the edges take in; the few largest would stretch the axis for nothing. */
const TAKEN_IN = 0.995;
/** Width of a step as a part or a multiple of the limit. */
const WIDTHS = [0.01, 0.02, 0.05, 0.1, 0.2, 0.25, 0.5, 1, 2, 5, 10];

/**
 * Edges from zero that suit all the samples, in equal steps.
 *
 * @param samples worst gaps, mm, ≥ 0, of one or more simulations.
 * @throws UserError (code "chart") without samples or limit.
 */
export function gapEdges(
  samples: readonly ArrayLike<number>[],
  { gapLimit, most = DEFAULT_MOST_BINS }: GapEdgesOptions,
): number[] {
  requireRows(
    samples.flatMap((list) => (list.length > 0 ? [list] : [])),
    "simulated gaps",
  );
  if (!(gapLimit > 0 && Number.isFinite(gapLimit)))
    throw new UserError(
      "chart",
      `The gap limit cannot be an edge: it must be a length greater than zero; it is ${gapLimit} mm.`,
    );
  const ends = samples.map((list) => {
    const sorted = Float64Array.from(list).sort();
    return sorted[Math.max(0, Math.ceil(TAKEN_IN * sorted.length) - 1)] ?? 0;
  });
  const reach = Math.max(1.1 * gapLimit, ...ends);
  const part = WIDTHS.find((width) => reach / (width * gapLimit) <= most) ?? reach / gapLimit / most;
  const count = Math.ceil(reach / (part * gapLimit) - 1e-9);
  return Array.from({ length: count + 1 }, (_, i) => Number((i * part * gapLimit).toPrecision(12)));
}

/** @throws UserError (code "chart") without samples. */
export function binGaps(samples: ArrayLike<number>, edges: readonly number[]): BinnedGaps {
  if (samples.length === 0) requireRows([], "simulated gaps");
  const counts = new Float64Array(edges.length - 1);
  let beyond = 0;
  for (let i = 0; i < samples.length; i++) {
    const upper = edges.findIndex((edge) => samples[i]! <= edge);
    if (upper < 0) beyond++;
    else counts[Math.max(0, upper - 1)]!++;
  }
  return {
    edges,
    shares: Array.from(counts, (count) => count / samples.length),
    beyond: beyond / samples.length,
  };
}
