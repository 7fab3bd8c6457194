/**
 * The look of the charts: warm paper, ink, and three meanings that keep their colour everywhere — dark for what was measured,
 * blue for what is computed, burnt orange for what asks for attention. No meaning hangs on colour alone: each has its own line, fill or symbol besides.
 */
export const PALETTE = {
  paper: "#FDFCF9",
  ink: "#2A2724",
  quiet: "#635D55",
  hairline: "#E3DDD1",
  /** Infill pieces and grid strips. */
  wood: "#F3EAD8",
  woodEdge: "#85735A",
  grid: "#D3C7B2",
  /** What was measured. */
  measured: "#2A2724",
  measuredPale: "#BDB5A8",
  /** What the model computes. */
  computed: "#1D5C9E",
  /** What was believed before, or was so before a move. */
  earlier: "#8F877B",
  earlierPale: "#DAD4C9",
  /** What asks for attention. */
  attention: "#B4430C",
} as const;

/** State of a joint's face against its mate, and how it is drawn. */
export const JOINT_STYLE = {
  wide: { fill: "#C9500F", stroke: "#7A2C04", dash: [] as number[] },
  open: { fill: "#F6C48F", stroke: "#B4430C", dash: [3, 2] as number[] },
  closed: { fill: "#E2DDD3", stroke: "#3B3731", dash: [] as number[] },
  pressed: { fill: "#1D5C9E", stroke: "#0F3C6B", dash: [] as number[] },
} as const;

export type JointState = keyof typeof JOINT_STYLE;

/** DejaVu is the widest of these: every layout is worked out for it. */
export const FONT = "Helvetica Neue, Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif";

/** Font sizes, px at the chart's own size: read at arm's length on a phone. */
export const SIZE = { title: 15, heading: 12.5, text: 12, small: 11, tiny: 10 } as const;

/** What Vega allows for a letter of a title or an axis where it has no canvas to measure on, as a share of the font size; a longer line would widen the chart. */
export const CHARACTER_ALLOWED = 0.8;

/** A phone of 390 px with its page's margins; charts are this wide unless told otherwise, px. */
export const DEFAULT_WIDTH = 360;

/** Narrower than this nothing is readable; px. */
export const LEAST_WIDTH = 300;

/** From this width on, the labels of rows stand beside their marks instead of above them; px. */
export const SIDE_BY_SIDE = 560;

/** Blank rim around a chart, px. */
export const RIM = 12;

/** Between panels, px. */
export const PANEL_SPACING = 12;

/** Line widths, px. */
export const STROKE = { hair: 0.75, fine: 1.25, mark: 2, strong: 3 } as const;
