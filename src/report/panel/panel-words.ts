import type { PanelWay } from "../../panel/panel-ways.js";

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
