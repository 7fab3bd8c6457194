import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { type AxisUnit, axisTitle, isAngle, quantityText, shareText, shown } from "../shop-numbers.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import type { Layer } from "./chart-views.js";
import { type Meaning, plotted, SIGN, signs, stackedPlots, tidy, upAxis, valueAxis } from "./grammar.js";

/** Widest gaps of many simulated cells, and what to say of them in the legend: `34 % close`. */
interface GapSpread extends BinnedGaps {
  readonly says?: string;
}

interface GapDistributionInput {
  readonly before: GapSpread;
  /** After the recommended move; `null` when nothing is to be moved. Same edges as before. */
  readonly after: GapSpread | null;
  /** mm. */
  readonly gapLimit: number;
  /** The deepest presses of the same cells and their limit, mm, to be drawn below the gaps; left out, they are not drawn. */
  readonly press?: {
    readonly before: GapSpread;
    readonly after: GapSpread | null;
    readonly limit: number;
  };
}

interface GapDistributionOptions extends ChartOptions {
  /** mm, in or thou. */
  readonly unit: AxisUnit;
  /** What the two spreads are called; default `as it is` and `after the moves`. */
  readonly names?: { readonly before: string; readonly after: string };
  /** Axis title without its unit; default {@link DEFAULT_GAP_AXIS}. */
  readonly axisTitle?: string;
  /** Sentences under the title, before what lies beyond the axis. */
  readonly notes?: readonly string[];
}

const DEFAULT_GAP_AXIS = "Widest gap of a cell";
const DEFAULT_NAMES = { before: "as it is", after: "after the moves" };
const TITLE = "How wide the gaps will be";
const HEIGHT = 190;
/** The limit's label stands over the steps: the vertical axis reaches this much further than the highest. */
const HEADROOM = 1.15;

const BEFORE = {
  shape: SIGN.box,
  color: PALETTE.quiet,
  fill: PALETTE.earlierPale,
  dash: [5, 3],
};
/** {@link PALETTE.computed}, so that what was before shows through. */
const AFTER = { shape: SIGN.box, color: PALETTE.computed, fill: "rgba(29, 92, 158, 0.3)" };

/**
 * The widest gaps of simulated cells as steps, before and after moves, with the gap limit; and below them the deepest presses where they are given.
 *
 * @throws UserError (code "chart") for an angle unit, a limit that is no number, or spreads with different edges.
 */
export function gapDistribution(input: GapDistributionInput, options: GapDistributionOptions): ChartSpec {
  const { before, after, gapLimit, press } = input;
  const { unit, names = DEFAULT_NAMES, width } = options;
  if (isAngle(unit))
    throw new UserError("chart", `Gaps have no such unit: it must be mm, in or thou; it is ${unit}.`);
  const title = options.title ?? TITLE;
  const named = (name: string, spread: GapSpread): string => (spread.says ? `${name}: ${spread.says}` : name);
  const meanings: readonly Meaning[] = [
    { ...BEFORE, text: named(names.before, before) },
    ...(after === null ? [] : [{ ...AFTER, text: named(names.after, after) }]),
  ];
  const gaps: Spreads = {
    what: "gap",
    spreads: after === null ? [before] : [before, after],
    limit: gapLimit,
    axis: options.axisTitle ?? DEFAULT_GAP_AXIS,
  };
  const plots: readonly Spreads[] =
    press === undefined
      ? [gaps]
      : [
          gaps,
          {
            what: "press",
            spreads: press.after === null ? [press.before] : [press.before, press.after],
            limit: press.limit,
            axis: PRESS_AXIS,
          },
        ];
  const beyondAxis = plots.flatMap(({ spreads, what }) => {
    const beyond = Math.max(...spreads.map((spread) => spread.beyond));
    const of = plots.length > 1 ? ` (${what})` : "";
    return beyond > 0
      ? [`Beyond the axis: ${shareText(beyond).replace(/^\d/, "at most $&")} of the cells${of}.`]
      : [];
  });
  const notes = [...(options.notes ?? []), ...beyondAxis];
  const limits = plots.map(({ what, limit }) =>
    what === "gap" ? `Gap limit ${quantityText(limit, unit)}.` : `Snug limit ${quantityText(limit, unit)}.`,
  );
  const said = meanings.map(({ text }) => text).join("; ");
  const description = `${title}: ${said}. ${limits.join(" ")} ${notes.join(" ")}`.trim();
  const drawn = plots.map((one) => spreadLayers(one, meanings, { unit, width, alone: plots.length === 1 }));
  const frame = { title, notes, description, width };
  const [only] = drawn;
  if (only !== undefined && drawn.length === 1) return plotted(frame, { height: HEIGHT, layer: only });
  const plot = plotWidth(width) - UP_LABELS;
  return stackedPlots(
    frame,
    drawn.map((layer) => ({ width: plot, height: HEIGHT, layer: [...layer] })),
  );
}

/** What is left of a plot's left edge for the figures of its vertical axis, px. */
const UP_LABELS = 34;
const PRESS_AXIS = "Deepest press of a cell";

interface Spreads {
  readonly what: "gap" | "press";
  readonly spreads: readonly GapSpread[];
  /** mm. */
  readonly limit: number;
  readonly axis: string;
}

/** Steps, their outlines, and the limit. */
function spreadLayers(
  { what, spreads, limit, axis }: Spreads,
  meanings: readonly Meaning[],
  {
    unit,
    width,
    alone,
  }: { readonly unit: AxisUnit; readonly width: number | undefined; readonly alone: boolean },
): Layer[] {
  const first = at(spreads, 0);
  requireFinite(limit, `${what} limit`);
  for (const spread of spreads) requireSpread(spread, first.edges);
  const edges = first.edges.map((edge) => tidy(shown(edge, unit)));
  const place = tidy(shown(limit, unit));
  const end = tidy(Math.max(...edges, 1.04 * place));
  const from = Math.min(...edges);
  const x = valueAxis(
    "gap",
    axisTitle(axis, unit),
    width,
    { domain: [from, end], nice: false, zero: false },
    { ticks: evenTicks(from, end) },
  );
  const highest = 100 * Math.max(...spreads.flatMap(({ shares }) => shares));
  const step = quantityText((first.edges[1] ?? 0) - (first.edges[0] ?? 0), unit, { digits: 3 });
  const upTitle = `Cells in each step of ${trimmed(step)} (%)`;
  const y = upAxis("share", upTitle, width, [0, tidy(HEADROOM * (highest || 1))]);
  const data = {
    values: spreads.flatMap(({ shares }, k) =>
      edges.map((gap, i) => ({
        meaning: at(meanings, k).text,
        gap,
        share: tidy(100 * (shares[Math.min(i, shares.length - 1)] ?? 0)),
      })),
    ),
  };
  const atLimit = {
    values: [
      { gap: place, text: `${alone || what === "gap" ? "" : "snug "}limit ${quantityText(limit, unit)}` },
    ],
  };
  const color = PALETTE.attention;
  return [
    {
      data,
      mark: { type: "area", interpolate: "step-after", opacity: 1 },
      encoding: { x, y: { ...y, stack: null }, ...signs(meanings, width, "fill") },
    },
    {
      data,
      mark: { type: "line", interpolate: "step-after", strokeWidth: STROKE.mark },
      encoding: { x, y, ...signs(meanings, width, "stroke", "strokeDash") },
    },
    {
      data: atLimit,
      mark: { type: "rule", color, strokeWidth: STROKE.mark, strokeDash: [7, 3] },
      encoding: { x },
    },
    {
      data: atLimit,
      mark: {
        type: "text",
        color,
        fontWeight: "bold",
        fontSize: SIZE.text,
        y: 9,
        // On the side with more room.
        ...(place > end / 2 ? { align: "right", dx: -7 } : { align: "left", dx: 7 }),
      },
      encoding: { x, text: { field: "text" } },
    },
  ];
}

/** Fewest marks of an axis of gaps, for a reader to place a figure between two of them. */
const LEAST_TICKS = 4;

/** Whole steps of 1, 2 or 5 times a power of ten from the first in the range on: the longest step that makes {@link LEAST_TICKS} marks or more. */
function evenTicks(from: number, to: number): number[] {
  const decade = 10 ** Math.floor(Math.log10(to - from));
  const steps = [5, 2, 1, 0.5, 0.2, 0.1].map((part) => part * decade);
  const step =
    steps.find((one) => Math.floor(to / one) - Math.ceil(from / one) + 1 >= LEAST_TICKS) ?? decade / 10;
  const first = Math.ceil(from / step - 1e-9);
  return Array.from({ length: Math.floor(to / step + 1e-9) - first + 1 }, (_, i) => tidy((first + i) * step));
}

/** `0.010 mm` → `0.01 mm`. */
const trimmed = (text: string): string => text.replace(/(\.\d*?)0+(?= )/, "$1").replace(/\.(?= )/, "");

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

/** Simulated gaps sorted into steps of equal width. */
export interface BinnedGaps {
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
 * @param samples widest gaps, mm, ≥ 0, of one or more simulations.
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
  return edgesUpTo(Math.max(...ends), gapLimit, most);
}

/** Edges from zero as far as `end` and beyond the limit (mm), in equal steps that are an even part or multiple of it. */
export function edgesUpTo(end: number, gapLimit: number, most = DEFAULT_MOST_BINS): number[] {
  const reach = Math.max(1.1 * gapLimit, end);
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
