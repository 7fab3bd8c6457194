import { formatLength } from "../../core/quantity/index.js";
import type { Estimated } from "../../inference/forecast/tally-blocks.js";
import { angleText, chanceText, pieceLength, smallLength, stopLength } from "../../render/shop-numbers.js";
import { type CutLine, type CutList, type LapLine, setUpsFor } from "./cut-list.js";
import type { StickPlan } from "./pack-stock.js";
import { FRESH_WOOD } from "./recut.js";

/** A table as text: its heading, its rows, and which columns hold numbers. */
export interface CutTable {
  readonly title: string;
  readonly heading: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly right: readonly number[];
}

/** The table of pieces, grid and border. */
export const PIECES = "Pieces";

type Units = CutList["job"]["units"];

const STOCK_NAME: Readonly<Record<CutLine["stock"], string>> = {
  strips: "strips",
  grid: "strips for the grid",
  border: "border stock",
};

/** Rough lengths and sticks: whole marks of a rule. */
export const markLength = (mm: number, units: "mm" | "in"): string =>
  units === "mm"
    ? formatLength(mm, { unit: "mm", digits: 0 })
    : formatLength(mm, { unit: "in", style: "fraction", denominator: 16, digits: 2 });

/** Pieces, grid and border: how long, how many, from what. */
export function pieceTable({ job, lines }: CutList): CutTable {
  return {
    title: PIECES,
    heading: ["piece", "from", "finished", "rough", "needed", "spare", "cut"],
    rows: lines.map(({ name, stock, thickness, finished, rough, needed, spares }) => [
      name,
      `${STOCK_NAME[stock]}, ${pieceLength(thickness, job.units)}`,
      pieceLength(finished, job.units),
      markLength(rough, job.units),
      ...[needed, spares, needed + spares].map(String),
    ]),
    right: [2, 3, 4, 5, 6],
  };
}

/** Set-up by set-up: the jig, its angle, the stop, how many pieces and passes. */
export function setUpTable({ job, setUps }: CutList): CutTable {
  return {
    title: "Set-ups",
    heading: ["set-up", "jig", "ramp", "cuts", "stop", "pieces", "passes"],
    rows: setUps.map(({ setUp, jig, ramp, group, setting, pieces, passes }) => [
      setUp,
      jig,
      angleText(ramp),
      group,
      setting === null ? "to a mark" : stopLength(setting, job.units),
      String(pieces),
      String(passes),
    ]),
    right: [2, 4, 5, 6],
  };
}

/** Where the grid's laps are cut, from the end of the finished strip. */
export function lapTable({ job, laps }: CutList): CutTable {
  const { units } = job;
  return {
    title: "Laps",
    heading: ["strip", "width", "depth", "middle of each lap from the strip's end"],
    rows: laps.map((line) => [
      ...[line.name, pieceLength(line.width, units), lapDepthText(line, units)],
      line.places.map((place) => pieceLength(place, units)).join("; "),
    ]),
    right: [1],
  };
}

/** How deep a lap is cut, and in three layers from which side. */
export function lapDepthText({ depth, layer }: Pick<LapLine, "depth" | "layer">, units: Units): string {
  if (layer === null) return depth === null ? "half the strip's" : pieceLength(depth, units);
  const deep = (layers: 1 | 2): string =>
    depth === null
      ? `${layers === 1 ? "a third" : "two thirds"} of the strip's`
      : pieceLength(layers * depth, units);
  if (layer === "middle") return `${deep(1)}, from the front and from the back`;
  return `${deep(2)}, from the ${layer === "bottom" ? "front" : "back"}`;
}

/** Which stick is cut into what. */
export function stickTable({ job, packed }: CutList): CutTable {
  const text = ({ pieces }: StickPlan): string =>
    pieces.map(({ name, count, length }) => `${count} × ${name} ${markLength(length, job.units)}`).join(", ");
  return {
    title: "Sticks",
    heading: ["stock", "stick", "sticks", "each cut into", "left over"],
    rows: packed.flatMap(({ stock, packed: { plans } }) =>
      plans.map((plan) => [
        STOCK_NAME[stock],
        markLength(plan.stock, job.units),
        String(plan.sticks),
        text(plan),
        smallOrLong(plan.left, job.units),
      ]),
    ),
    right: [1, 2, 4],
  };
}

/** What to buy, and how far that may be from the least. */
export function stockTable({ job, packed }: CutList): CutTable {
  const { units } = job;
  return {
    title: "Stock",
    heading: ["stock", "thickness", "sticks", "bought", "in the pieces", "no plan below"],
    rows: packed.map(({ stock, thickness, packed: { buy, bought, used, least } }) => [
      STOCK_NAME[stock],
      pieceLength(thickness, units),
      buy.map(({ stock: length, sticks }) => `${sticks} × ${markLength(length, units)}`).join(", "),
      longLength(bought, units),
      `${longLength(used, units)} (${Math.round((100 * used) / bought)} %)`,
      longLength(least, units),
    ]),
    right: [1, 3, 4, 5],
  };
}

/** What scrap can still become. */
export function recutTable({ job, recuts }: CutList): CutTable {
  return {
    title: "What scrap can become",
    heading: ["a scrapped", "becomes a", "keeping", "cut anew at", "may be short by"],
    rows: recuts.map(({ from, to, kept, anew, room }) => {
      const setUps = setUpsFor(job, anew);
      return [
        from,
        to,
        kept === null ? "neither end" : `its ${kept}`,
        (setUps.length > 0 ? setUps : anew).join(", "),
        smallOrLong(room - FRESH_WOOD * (kept === null ? 2 : 1), job.units),
      ];
    }),
    right: [4],
  };
}

/** Metres, or whole inches. */
function longLength(mm: number, units: "mm" | "in"): string {
  return units === "mm" ? `${(mm / 1000).toFixed(2)} m` : `${(mm / 25.4).toFixed(0)} in`;
}

/** What is left over: a tenth of a mm, a thousandth of an inch. */
export const smallOrLong = (mm: number, units: "mm" | "in"): string =>
  units === "mm" ? formatLength(mm, { unit: "mm", digits: 1 }) : formatLength(mm, { unit: "in", digits: 3 });

/** `Buy: strips, 8 × 36 in; border stock, 2 × 36 in.` */
export function buyText({ job, packed }: CutList): string {
  const each = packed.map(
    ({ stock, packed: { buy } }) =>
      `${STOCK_NAME[stock]}, ${buy.map(({ stock: length, sticks }) => `${sticks} × ${markLength(length, job.units)}`).join(", ")}`,
  );
  return `Buy: ${each.join("; ")}.`;
}

/** Every table, in reading order; without those that are empty. */
export const cutListTables = (list: CutList): CutTable[] =>
  [pieceTable, setUpTable, lapTable, stockTable, stickTable, recutTable]
    .map((table) => table(list))
    .filter(({ rows }) => rows.length > 0);

/** What the list rests on, in sentences. */
export function cutListNotes(list: CutList): string[] {
  const { job, stock, stated, cells, lines, sure, grid, halves } = list;
  const byCuts = lines.flatMap(({ name, scrapByCuts }) =>
    scrapByCuts === null ? [] : [`${name} ${rareText(scrapByCuts)}`],
  );
  const { units } = job;
  return [
    `${cells} cells${job.panel ? `, ${job.panel.rows} rows of ${job.panel.columns}` : " (costs.cells: the job names no panel, so there is no grid and no border here)"}.${halves > 0 ? ` The border cuts ${halves} more in half: their pieces are not counted, fit them by hand.` : ""}`,
    `Spares: with them the pieces suffice for all cells with a chance of ${chanceText(sure)} (wanted: ${chanceText(stock.sure)}). A piece counts as scrap when its own errors from cut to cut open a gap over ${smallLength(job.limits.gap, units)} in a cell otherwise right (${byCuts.join(", ")}), or by a mishap (${chanceText(stock.mishaps)}). Jigs and stops are assumed to be set right: correct them first. Pieces gained from scrap are not counted.`,
    `Rough pieces are ${smallOrLong(stock.allowance, units)} longer and rounded up to a mark; a cut takes ${smallOrLong(stock.kerf, units)}, a stick loses ${smallOrLong(stock.ends, units)} at its ends${stated ? "" : " (the job has no section stock: these are common practice, no source)"}. Sticks are filled longest piece first, each piece into the first stick with room; “no plan below” is a length that no plan can undercut.`,
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
