import type { Estimated } from "../../inference/forecast/tally-blocks.js";
import { htmlTable } from "../../render/html.js";
import type { Html } from "../../render/notebook/display.js";
import { percentText, shareText } from "../../render/percent.js";
import { textTable } from "../../render/text.js";
import type { PanelBudgetLine } from "./compare.js";
import type { PanelWay } from "./grid-shape.js";
import type { PanelPrediction } from "./panel-prediction.js";

/** A table that shows itself, and stands in a text. */
type Table = Html & { readonly text: string };

/** Panels side by side under names: how often every cell closes, and how many cells are to be re-fitted. */
export function panelsTable(panels: Readonly<Record<string, PanelPrediction>>): Table {
  return table(
    ["panel", "every cell closes", "if cells failed one by one", "cells to re-fit", "of"],
    Object.entries(panels).map(([name, { closes, closesUnshared, refits, places }]) => [
      ...[name, withinText(closes), shareText(closesUnshared), countText(refits.mean)],
      String(places.length),
    ]),
    [1, 2, 3, 4],
  );
}

/** The ways of making a panel, the same panels in each. */
export function panelWaysTable({ ways }: PanelPrediction): Table {
  return table(
    ["pieces", "every cell closes", "cells to re-fit", "fewer than as cut"],
    (ways ?? []).map(({ way, closes, refits, fewerRefits }) => [
      ...[WAY_WORDS[way].short, withinText(closes), countText(refits)],
      way === "as-cut" ? "" : countText(fewerRefits),
    ]),
    [1, 2, 3],
  );
}

const KINDS: Readonly<Record<PanelBudgetLine["kind"], string>> = {
  ...{ shared: "one a panel", own: "each anew", mixed: "" },
};

/** What drives a panel: `sources` one by one, or several `together`. */
export function panelBudgetTable(
  { budget }: PanelPrediction,
  which: "sources" | "together" = "sources",
): Table {
  return table(
    [which === "sources" ? "source" : "together", "its error is", "re-fits fewer", "closes more often"],
    (budget?.[which] ?? []).map(({ name, kind, fewerRefits, closesMore }) => [
      ...[name, KINDS[kind], countText(fewerRefits), withinText(closesMore)],
    ]),
    [2, 3],
  );
}

const table = (heading: string[], rows: string[][], right: number[]): Table => ({
  html: htmlTable(heading, rows, right),
  text: textTable(heading, rows, right),
});

/** `7.4 ± 0.3`: a mean count with half the width of its bounds, rounded to it; the bound alone where nothing was counted. */
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

/** A chance with its bounds, as `percentText` has it; the bound alone where it happened every time, too. */
export function withinText(chance: Estimated): string {
  if (chance.value < 1 || chance.low === chance.high) return percentText(chance);
  const fails = percentText({ value: 0, low: 0, high: 1 - chance.low });
  return `over ${Number((100 - Number(/[\d.]+/.exec(fails)![0])).toFixed(6))} %`;
}
