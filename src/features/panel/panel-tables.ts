import { present } from "../../core/numeric/dense.js";
import type { Estimated } from "../../inference/forecast/tally-blocks.js";
import type { HtmlOutput } from "../../render/notebook/display.js";
import { angleText, percentText, pieceLength, shareText, smallLength } from "../../render/shop-numbers.js";
import { plainTable, textTable, wrapped } from "../../render/text.js";
import type { PanelBudgetLine } from "./compare.js";
import type { PanelWay } from "./grid-shape.js";
import type { OuterSize, PanelPrediction } from "./panel-prediction.js";
import { closingDeviation } from "./three-way-errors.js";

/** Several named panels side by side: how often every cell closes, and how many cells have to be re-fitted. */
export function panelsTable(panels: Readonly<Record<string, PanelPrediction>>): Required<HtmlOutput> {
  return plainTable(
    ["panel", "every cell closes", "if cells failed one by one", "cells to re-fit", "of"],
    Object.entries(panels).map(([name, { closes, closesUnshared, refits, places }]) => [
      ...[name, withinText(closes), shareText(closesUnshared), countText(refits.mean)],
      String(places.length),
    ]),
    [1, 2, 3, 4],
  );
}

/** The ways of making a panel, the same panels in each. */
export function panelWaysTable({ ways }: PanelPrediction): Required<HtmlOutput> {
  return plainTable(
    ["pieces", "every cell closes", "cells to re-fit", "fewer than as cut"],
    (ways ?? []).map(({ way, closes, refits, fewerRefits }) => [
      ...[WAY_WORDS[way].short, withinText(closes), countText(refits)],
      way === "as-cut" ? "" : countText(fewerRefits),
    ]),
    [1, 2, 3],
  );
}

const KINDS: Readonly<Record<PanelBudgetLine["kind"], string>> = {
  shared: "one a panel",
  own: "each anew",
  mixed: "",
};

/** What drives a panel: `sources` one by one, or several `together`. */
export function panelBudgetTable(
  { budget }: PanelPrediction,
  which: "sources" | "together" = "sources",
): Required<HtmlOutput> {
  return plainTable(
    [which === "sources" ? "error source" : "together", "its error is", "fewer re-fits", "closes more often"],
    (budget?.[which] ?? []).map(({ name, kind, fewerRefits, closesMore }) => [
      ...[name, KINDS[kind], countText(fewerRefits), withinText(closesMore)],
    ]),
    [2, 3],
  );
}

/** `7.4 ± 0.3`: a mean count with half the width of its bounds, rounded to it; only the bound if nothing was counted. */
export function countText({ value, low, high }: Estimated): string {
  const half = (high - low) / 2;
  if (!(half > 0)) return figure(value, Number.isInteger(value) ? 0 : 2);
  const digits = Math.min(4, Math.max(0, Math.ceil(-Math.log10(half / 2))));
  if (value === 0 && low === 0)
    return `under ${(Math.ceil(high * 10 ** digits) / 10 ** digits).toFixed(digits)}`;
  return `${figure(value, digits)} ± ${half.toFixed(digits)}`;
}

function figure(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && /[1-9]/.test(text) ? `−${text}` : text;
}

/** How a panel is made, in a few words and in a sentence. */
export const WAY_WORDS: Readonly<Record<PanelWay, { readonly short: string; readonly long: string }>> = {
  "as-cut": {
    short: "as cut at the stops",
    long: "As cut: every piece comes from the stops and goes into whatever cell is next.",
  },
  sorted: {
    short: "measured and sorted",
    long: "Sorted: every piece and every opening is measured, and of each kind the longest pieces go into the largest openings.",
  },
  fitted: {
    short: "fitted one by one",
    long: "Fitted: every piece is trimmed by trial until its joints press by the snug limit; pieces that go in later press on those before, which is not counted, and a cell closes where its gaps are within the limit.",
  },
};

/** A probability with its bounds, as in `percentText`; only the bound also if the event happened every time. */
export function withinText(chance: Estimated): string {
  if (chance.value < 1 || chance.low === chance.high) return percentText(chance);
  const fails = percentText({ value: 0, low: 0, high: 1 - chance.low });
  return `over ${Number((100 - Number(present(/[\d.]+/.exec(fails))[0])).toFixed(6))} %`;
}

/** The grid of a panel: its outer size, its laps and the resulting scatter of a cell's walls. */
export function panelGridText({
  job,
  shape,
  size,
  walls,
  tightLaps,
  sharedSpread,
  places,
}: PanelPrediction): string[] {
  const { units } = job;
  const { laps, frame, racked } = shape.panel;
  const threeWay = shape.kind === "three-way";
  const closing = threeWay ? closingDeviation(shape) : 0;
  const length = (mm: number): string => smallLength(mm, units);
  const row = (name: string, { nominal, mean, standardDeviation, byLaps }: OuterSize): string[] => [
    ...[name, pieceLength(nominal, units), pieceLength(mean, units)],
    ...[length(standardDeviation), length(byLaps)],
  ];
  const placed = laps.way === "stop" ? "each against a stop" : "each indexed from the lap before";
  return [
    textTable(
      ["outer size", "nominal", "mean", "standard deviation", "by the laps of one strip"],
      [row("width", size.width), row("height", size.height)],
      [1, 2, 3, 4],
    ),
    wrapped(
      `Laps ${placed}${laps.bundled ? ", through all strips at once" : ", strip by strip"}: ${length(laps.place)} from lap to lap. ${
        laps.way === "stop"
          ? "Every pitch then has the errors of two laps, but they do not add up along the strip."
          : "Every pitch then has the error of one lap, but they add up along the strip, by the square root of their number."
      }`,
    ),
    ...(frame === null || size.frame === null
      ? []
      : [
          wrapped(
            `Frame of ${pieceLength(frame.width, units)} × ${pieceLength(frame.height, units)}, play at most ${pieceLength(frame.play, units)}: the panel goes in as it should in ${withinText(size.frame.fits)} of the cases, is too large in ${withinText(size.frame.large)}, too small in ${withinText(size.frame.small)}.`,
          ),
        ]),
    ...(closing === 0
      ? []
      : [
          wrapped(
            `The three laps of a crossing disagree by ${length(closing)} (one standard deviation, where it is most); each gives way by a third of it, and the strips run through one point. Such a grid cannot rack: corners out of square come of its laps.`,
          ),
        ]),
    ...(racked === 0
      ? []
      : [
          wrapped(
            `Corners out of square by ${angleText(racked)} (one standard deviation) show as diagonals that differ by ${length(size.diagonals)}: measure both before the glue sets.`,
          ),
        ]),
    wrapped(
      `The walls of a cell spread by ${length(walls.offset)} and ${angleText(walls.turn)}, ${threeWay ? "the side of its opening" : "its opening"} by ${length(walls.opening)}: with these in its section grid the job describes one cell of this panel.`,
    ),
    ...(tightLaps === 0
      ? []
      : [
          wrapped(
            `In ${shareText(tightLaps)} of the laps ${threeWay ? "a strip finds no room, being thicker than the lap is wide or kept from its place by the other two laps of the crossing," : "the strip is thicker than the lap is wide"} and has to be eased in: try a lap of waste on the stock before you cut the grid.`,
          ),
        ]),
    ...(laps.depthSd === 0
      ? []
      : [
          wrapped(
            threeWay
              ? `Four laps cut to the depth by thirds, each to ${length(laps.depthSd)}, leave the faces of the bottom and the top strip of a crossing out of flush by ${length(2 * laps.depthSd)} (one standard deviation).`
              : `Two laps cut to half the depth, each to ${length(laps.depthSd)}, leave the faces of a crossing out of flush by ${length(Math.SQRT2 * laps.depthSd)} (one standard deviation).`,
          ),
        ]),
    ...(places.length === 1
      ? []
      : [
          wrapped(
            `Of the spread of a cell's widest gap, ${shareText(sharedSpread)} of the variance is common to its panel: when one cell is bad the others are likely to be, and re-setting helps more than re-fitting.`,
          ),
        ]),
  ];
}
