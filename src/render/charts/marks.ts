import { PALETTE, SIZE } from "../style.js";
import type { Layer } from "./chart-views.js";

/** A place in a panel, px from its upper left corner. */
export interface MarkPosition {
  readonly x: number;
  readonly y: number;
}

type Encoding = NonNullable<Extract<Layer, { mark: unknown }>["encoding"]>;
type Channel = "x" | "y" | "x2" | "y2" | "angle";

/** Rounded so that specs stay small and readable; a hundredth of a pixel is not seen. */
export const px = (value: number): number => Number(value.toFixed(2));

/** Channels whose fields hold pixels (or degrees) as they are. */
export function pixels(...channels: Channel[]): Encoding {
  return Object.fromEntries(
    channels.map((channel) => [
      channel,
      channel === "x2" || channel === "y2"
        ? { field: channel }
        : { field: channel, type: "quantitative", scale: null },
    ]),
  );
}

/** How a field of a row is placed from left to right; pixels unless told otherwise. */
export type Across = NonNullable<Encoding["x"]>;
const PIXELS = pixels("x").x!;

export interface TextStyle {
  readonly align?: "left" | "center" | "right";
  readonly weight?: "plain" | "bold";
  readonly size?: number;
  readonly color?: string;
  /** Colour of a rim around the letters where they stand on a drawing. */
  readonly halo?: string;
}

/** Lines of text by their baseline. `angle` in degrees clockwise. */
export function texts(
  rows: readonly (MarkPosition & { readonly text: string; readonly angle?: number })[],
  style: TextStyle = {},
): Layer[] {
  if (rows.length === 0) return [];
  const { align = "left", weight = "plain", size = SIZE.text, color = PALETTE.ink, halo } = style;
  const turned = rows.some((row) => row.angle !== undefined);
  const layer = (extra: object): Layer => ({
    data: { values: [...rows] },
    mark: {
      type: "text",
      align,
      baseline: turned ? "middle" : "alphabetic",
      fontSize: size,
      fontWeight: weight === "bold" ? "bold" : "normal",
      color,
      clip: true,
      ...extra,
    },
    encoding: {
      ...pixels("x", "y", ...(turned ? (["angle"] as const) : [])),
      text: { field: "text", type: "nominal" },
    },
  });
  const rim = halo === undefined ? [] : [layer({ stroke: halo, strokeWidth: 4, strokeJoin: "round" })];
  return [...rim, layer({})];
}

export interface LineStyle {
  readonly color: string;
  readonly width: number;
  readonly dash?: readonly number[];
}

/** A mark for each row, placed by x and the channels named. */
function marked(
  rows: readonly MarkPosition[],
  mark: Extract<Layer, { mark: unknown }>["mark"] & object,
  across: Across,
  ...channels: Channel[]
): Layer[] {
  if (rows.length === 0) return [];
  const encoding = { ...pixels(...channels), x: across };
  return [{ data: { values: [...rows] }, mark: { ...mark, clip: true }, encoding }];
}

/** Straight lines from (x, y) to (x2, y2). */
export const lines = (
  rows: readonly (MarkPosition & { readonly x2: number; readonly y2: number })[],
  { color, width, dash = [] }: LineStyle,
  across: Across = PIXELS,
): Layer[] =>
  marked(rows, { type: "rule", color, strokeWidth: width, strokeDash: [...dash] }, across, "y", "x2", "y2");

export interface SymbolStyle {
  /** One of Vega's symbols, or an SVG path within ±1. */
  readonly shape: string;
  /** Square pixels. */
  readonly size: number;
  readonly fill?: string;
  readonly stroke?: string;
  readonly strokeWidth?: number;
}

/** A symbol at each place. */
export function symbols(
  rows: readonly MarkPosition[],
  { shape, size, fill, stroke, strokeWidth = 1.5 }: SymbolStyle,
  across: Across = PIXELS,
): Layer[] {
  const rim = { fill: fill ?? null, stroke: stroke ?? null, strokeWidth };
  return marked(rows, { type: "point", shape, size, ...rim, opacity: 1 }, across, "y");
}

export interface AreaStyle {
  readonly fill: string;
  /** Default 1. */
  readonly opacity?: number;
  readonly stroke?: string;
  readonly strokeWidth?: number;
  readonly dash?: readonly number[];
}

/** Rectangles between (x, y) and (x2, y2). */
export function boxes(
  rows: readonly (MarkPosition & { readonly x2: number; readonly y2: number })[],
  { fill, opacity = 1, stroke, strokeWidth = 0, dash = [] }: AreaStyle,
  across: Across = PIXELS,
): Layer[] {
  const rim = { stroke: stroke ?? null, strokeWidth, strokeDash: [...dash] };
  return marked(rows, { type: "rect", fill, ...rim, opacity }, across, "y", "x2", "y2");
}

/** Closed outlines; the corners of one shape share their `shape`. */
export function polygons(
  shapes: readonly { readonly name: string; readonly corners: readonly MarkPosition[] }[],
  { fill, stroke, strokeWidth = 0, dash = [] }: AreaStyle,
): Layer[] {
  if (shapes.length === 0) return [];
  return [
    {
      data: {
        values: shapes.flatMap(({ name, corners }) =>
          corners.map(({ x, y }, corner) => ({ shape: name, corner, x: px(x), y: px(y) })),
        ),
      },
      mark: {
        type: "line",
        interpolate: "linear-closed",
        fill,
        stroke: stroke ?? fill,
        strokeWidth,
        strokeDash: [...dash],
        strokeJoin: "round",
        clip: true,
      },
      encoding: {
        ...pixels("x", "y"),
        detail: { field: "shape", type: "nominal" },
        order: { field: "corner", type: "quantitative" },
      },
    },
  ];
}
