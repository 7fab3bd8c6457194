import { PALETTE, STROKE } from "../style.js";
import { ARROW_LEFT, ARROW_RIGHT, tidy, valueAxis } from "./axes.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import type { Layer } from "./chart-views.js";
import { framed, type LegendEntry, legendPanel, SWATCH } from "./framed.js";
import { type Across, lines, px, type SymbolStyle, symbols } from "./marks.js";
import { stackRows } from "./stack-rows.js";

/** How far a reading lies from the model, in its own standard deviations: (reading − prediction)/σ, positive = the reading is larger. */
export interface ResidualRow {
  readonly id: string;
  /** In the joiner's words; named in the notes where the reading stands out. */
  readonly label: string;
  readonly residual: number;
}

const TITLE = "What the model leaves over";
const MARKS = 11;
/** Guides, in standard deviations: about 5 % and 0.3 % of good readings lie beyond them (normal distribution). */
export const RESIDUAL_GUIDES = { outer: 3, inner: 2 } as const;
/** The axis reaches at least to here, and never further than that: a residual beyond carries an arrow. */
const LEAST_REACH = 3.6;
const MOST_REACH = 6.5;
/** Both guides have their figures where the axis is this many px long for each standard deviation it reaches to either side. */
const TICKED = 36;

/**
 * Standardised residuals, one line a reading, with guides at ±2 and ±3.
 *
 * @throws UserError (code "chart") when there are no rows or a residual is not finite.
 */
export function residualsChart(rows: readonly ResidualRow[], options: ChartOptions = {}): ChartSpec {
  requireRows(rows, "residuals");
  for (const { id, residual } of rows) requireFinite(residual, `residual of reading ${id}`);
  const room = plotWidth(options.width);
  const stack = stackRows(
    rows.map((row) => ({ residual: row.residual, label: row.id })),
    { room, marks: MARKS, beside: true, figures: ({ residual }) => signed(residual) },
  );
  const largest = Math.max(...rows.map(({ residual }) => Math.abs(residual)));
  const reach = Math.min(MOST_REACH, Math.max(LEAST_REACH, 1.08 * largest));
  const across = valueAxis({
    title: "Reading minus prediction (standard deviations)",
    stretch: { low: -reach, high: reach },
    from: stack.from,
    to: stack.to,
    ticks: (stack.to - stack.from > TICKED * reach ? [-6, -3, -2, 0, 2, 3, 6] : [-6, -3, 0, 3, 6]).filter(
      (tick) => Math.abs(tick) < reach,
    ),
  });
  const placed = stack.rows.map(({ row, y }) => ({
    x: tidy(Math.max(-reach, Math.min(reach, row.residual))),
    y: px(y),
    size: Math.abs(row.residual),
    beyond: Math.abs(row.residual) > reach,
  }));
  const beyond = rows.filter(({ residual }) => Math.abs(residual) > RESIDUAL_GUIDES.outer);
  const title = options.title ?? TITLE;
  const note =
    beyond.length === 0
      ? `No reading lies beyond ±${RESIDUAL_GUIDES.outer}.`
      : `Beyond ±${RESIDUAL_GUIDES.outer}: ${beyond.map(({ id, label, residual }) => `${id}, ${label} (${signed(residual)})`).join("; ")}.`;
  return framed(
    {
      title,
      notes: [note],
      description: `${title}: standardised residuals of ${rows.length} readings. ${note}`,
      width: options.width,
    },
    [
      legendPanel(LEGEND, options.width),
      {
        width: room,
        height: stack.height,
        layer: [
          ...guides(stack.height, across),
          ...stack.labels,
          ...lines(
            placed.map(({ x, y }) => ({ x: 0, x2: x, y, y2: y })),
            { color: PALETTE.measuredPale, width: STROKE.mark },
            across,
          ),
          ...KINDS.flatMap(({ from, to, style }) =>
            symbols(
              placed.filter(({ size, beyond }) => !beyond && size > from && size <= to).map(at),
              style,
              across,
            ),
          ),
          ...symbols(placed.filter(({ beyond, x }) => beyond && x < 0).map(at), arrow(ARROW_LEFT), across),
          ...symbols(placed.filter(({ beyond, x }) => beyond && x > 0).map(at), arrow(ARROW_RIGHT), across),
        ],
      },
    ],
  );
}

const at = ({ x, y }: { x: number; y: number }) => ({ x, y });
const arrow = (shape: string): SymbolStyle => ({ shape, size: 90, fill: PALETTE.attention });
const signed = (value: number): string => {
  const text = Math.abs(value).toFixed(1);
  return Number(text) === 0 ? text : `${value < 0 ? "−" : "+"}${text}`;
};

const KINDS: readonly { from: number; to: number; text: string; style: SymbolStyle }[] = [
  { from: -1, to: 2, text: "within ±2", style: { shape: "circle", size: 55, fill: PALETTE.measured } },
  {
    from: 2,
    to: 3,
    text: "2 to 3",
    style: {
      shape: "circle",
      size: 60,
      fill: PALETTE.paper,
      stroke: PALETTE.attention,
      strokeWidth: STROKE.mark,
    },
  },
  {
    from: 3,
    to: Number.POSITIVE_INFINITY,
    text: "beyond ±3",
    style: { shape: "M-1,-1L1,1M-1,1L1,-1", size: 80, stroke: PALETTE.attention, strokeWidth: 3 },
  },
];

const LEGEND: readonly LegendEntry[] = KINDS.map(({ text, style }) => ({
  text,
  swatch: (x, y) => symbols([{ x: x + SWATCH / 2, y }], style),
}));

function guides(height: number, across: Across): Layer[] {
  const upright = (x: number) => ({ x, x2: x, y: 0, y2: height });
  const { inner, outer } = RESIDUAL_GUIDES;
  return [
    ...lines([upright(0)], { color: PALETTE.quiet, width: STROKE.fine }, across),
    ...lines(
      [upright(-inner), upright(inner)],
      { color: PALETTE.earlier, width: STROKE.fine, dash: [2, 3] },
      across,
    ),
    ...lines(
      [upright(-outer), upright(outer)],
      { color: PALETTE.attention, width: STROKE.fine, dash: [7, 3] },
      across,
    ),
  ];
}
