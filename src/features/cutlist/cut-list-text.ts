import type { Estimated } from "../../inference/forecast/tally-blocks.js";
import { CAUTIONS } from "../../render/cautions.js";
import { chanceText, pieceLength, smallLength } from "../../render/shop-numbers.js";
import { textTable, wrapped } from "../../render/text.js";
import type { CutList } from "./cut-list.js";
import { cutListTables, smallOrLong } from "./cut-list-rows.js";
import { FRESH_WOOD } from "./recut.js";

/** The list for reading. */
export function cutListText(list: CutList): string {
  return [
    `CUT LIST: ${list.job.title}`,
    "",
    ...cutListTables(list).flatMap(({ title, heading, rows, right }) => [
      title.toUpperCase(),
      textTable(heading, rows, right),
      "",
    ]),
    ...cutListNotes(list).map((line) => wrapped(line)),
    "",
    ...CAUTIONS.map((line) => wrapped(line)),
    "",
  ].join("\n");
}

/** What the list rests on, in sentences. */
export function cutListNotes(list: CutList): string[] {
  const { job, stock, stated, cells, lines, sure, grid, halves } = list;
  const byCuts = lines.flatMap(({ name, scrapByCuts }) =>
    scrapByCuts === null ? [] : [`${name} ${rareText(scrapByCuts)}`],
  );
  const { units } = job;
  return [
    `${cells} cells${job.panel ? `, ${job.panel.rows} rows of ${job.panel.columns}` : " (costs.cells: the job names no panel, so there is no grid and no border here)"}.${halves > 0 ? ` The border cuts ${halves} more in half: their pieces are not counted, fit them by hand.` : ""}`,
    `Spares: with them the pieces suffice for all cells with a chance of ${chanceText(sure)} (wanted: ${chanceText(stock.sure)}). A piece counts as scrap when its own errors from cut to cut open a gap over ${smallLength(job.limits.gap, units)} in a cell otherwise right (${byCuts.join(", ")}), or by a mishap (${chanceText(stock.mishaps)}). Jigs and stops are taken as set right: mend them first. Pieces gained from scrap are not counted.`,
    `Rough pieces are ${smallOrLong(stock.allowance, units)} longer and rounded up to a mark; a cut takes ${smallOrLong(stock.kerf, units)}, a stick loses ${smallOrLong(stock.ends, units)} at its ends${stated ? "" : " (the job has no section stock: these are common practice, no source)"}. Sticks are filled longest piece first, each piece into the first stick with room; “no plan below” is what no plan whatever could undercut.`,
    "A stop's setting is from the tip that lies against it to where the cut crosses the strip's middle line. Set it on a trial piece, not on a rule.",
    ...(job.panel && !grid
      ? [
          `The cells of ${job.pattern} are neither upright rectangles nor equilateral triangles with a level side: straight strips that cross leave no such cells, so their grid and border are not in this list.`,
        ]
      : []),
    ...(grid
      ? [
          "Grid strips reach from border to border: add what your joint into the border takes. Border members are given by the outer size, as for mitred or bridled corners; a member that butts between two others is shorter by two thicknesses.",
        ]
      : []),
    ...(halves > 0 ? [threeWayNote(list)] : []),
    `“May be short by”: how much too short the scrapped piece may be and still leave ${smallOrLong(FRESH_WOOD, units)} of wood for each end cut anew (common practice, no source). Look for the fault that made it scrap before you keep its end.`,
  ];
}

/** What a three-way grid has and others have not. */
function threeWayNote({ job, laps }: CutList): string {
  const across = laps[0]?.width ?? job.panel!.laps.width;
  return `Falling strips fall to the right, rising ones rise to the right; both are counted from their upper ends, level ones from the left. Their length is from tip to tip, the ends cut along the border: at 60° to the strip at its level members, at 30° at the upright ones. Strips that end at one place of the border overlap there: half-lap or mitre them by hand. Each lap is cut through at 60° to the strip, once leaning either way; its width is square across the cut, ${pieceLength(across / Math.sin(Math.PI / 3), job.units)} along the strip. Level strips lie at the back, falling ones in the middle, rising ones in front (common practice, no source): cut one crossing of waste before you cut the grid.`;
}

/** A chance from simulated pieces: where it never happened, what it is under with 95 %. */
function rareText({ value, high }: Estimated): string {
  if (value > 0) return chanceText(value);
  return high === 0 ? "never" : `under 1 in ${Math.floor(1 / high / 100) * 100}`;
}
