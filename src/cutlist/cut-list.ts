import { cellOf } from "../calibrate/specimen.js";
import { setUpByGroup } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import { STOCK_DEFAULTS, type Stock } from "../job/stock.js";
import type { Piece } from "../lattice/arrangement.js";
import type { Estimated } from "../outlook/estimated.js";
import { cellSize } from "./cell-size.js";
import { type PackedStock, packStock } from "./pack-stock.js";
import { type Recut, recut } from "./recut.js";
import { roughLength } from "./rough-length.js";
import { SCRAP_DRAWS, scrapChance } from "./scrap-chance.js";
import { sparesFor } from "./spares.js";

/** One line of the list: pieces of a kind, or strips of the grid and members of the border. */
export interface CutLine {
  readonly name: string;
  /** What it is cut from: sticks of one line's stock serve all lines with the same. */
  readonly stock: "strips" | "grid" | "border";
  /** Thickness as seen from the face, mm. */
  readonly thickness: number;
  /** Finished, tip to tip, and rough, mm. */
  readonly finished: number;
  readonly rough: number;
  readonly needed: number;
  readonly spares: number;
  /** Chance that one is scrap by its own cuts; `null` for what no jig cuts. */
  readonly scrapByCuts: Estimated | null;
  /** Chance that one is scrap for any reason. */
  readonly scrap: number;
}

/** Cuts made at one set-up. */
export interface SetUpLine {
  readonly setUp: string;
  readonly jig: string;
  /** Angle on the label, rad from a square cut. */
  readonly ramp: number;
  readonly group: string;
  readonly piece: string;
  /** From the piece's other tip to where the cut crosses its middle line, mm; `null` for an end cut to a mark. */
  readonly setting: number | null;
  /** Pieces, and passes over the jig: a point takes two. */
  readonly pieces: number;
  readonly passes: number;
}

/** The laps of one strip of the grid. */
export interface LapLine {
  readonly name: string;
  /** mm; the depth is `null` where it is half the strip's. */
  readonly width: number;
  readonly depth: number | null;
  /** Middle of each lap from the end of the finished strip, mm. */
  readonly places: readonly number[];
}

/** What to cut for a whole screen; lengths mm, chances from 0 to 1. */
export interface CutList {
  readonly job: Job;
  readonly stock: Stock;
  /** Whether the job itself says what the stock is. */
  readonly stated: boolean;
  /** Number of cells to fill. */
  readonly cells: number;
  /** Whether the grid and the border are in it. */
  readonly grid: boolean;
  readonly laps: readonly LapLine[];
  readonly lines: readonly CutLine[];
  /** Chance that the pieces suffice for all cells. */
  readonly sure: number;
  readonly setUps: readonly SetUpLine[];
  readonly recuts: readonly Recut[];
  readonly packed: readonly {
    readonly stock: CutLine["stock"];
    readonly thickness: number;
    readonly packed: PackedStock;
  }[];
}

/** How a cut list is worked out. `seed`: whole, ≥ 0, of every draw. */
export interface CutListOptions {
  readonly seed?: number;
  /** Number of pieces drawn of each kind; default {@link SCRAP_DRAWS}. */
  readonly draws?: number;
}

/**
 * What to cut for a whole screen: pieces, grid and border with their spares, set-up by set-up, from which sticks, and what becomes of scrap.
 *
 * @throws CutListError when a piece does not fit the stock, or is scrapped too readily.
 */
export function cutList(job: Job, { seed = 1, draws = SCRAP_DRAWS }: CutListOptions = {}): CutList {
  const stock = job.stock ?? STOCK_DEFAULTS;
  const cell = cellOf(job);
  const cells = job.panel ? job.panel.rows * job.panel.columns : Math.round(job.costs.cells);
  const kinds = [...new Map(cell.pieces.map((piece) => [piece.kind, piece])).values()];
  const grid = gridLines(job, stock);
  const bare: Omit<CutLine, "spares">[] = [
    ...kinds.map((piece) => pieceLine(job, stock, piece, { cells, seed, draws })),
    ...(grid ?? []),
  ];
  const { spares, chance } = sparesFor(
    bare.map(({ name, needed, scrap, rough }) => ({ name, count: needed, scrap, length: rough })),
    stock.sure,
  );
  const lines = bare.map((line, i): CutLine => ({ ...line, spares: spares[i]! }));
  return {
    ...{ job, stock, stated: job.stock !== undefined, cells, lines, sure: chance },
    ...{ grid: grid !== null, laps: lapLines(job, lines) },
    setUps: setUpLines(job, lines),
    recuts: kinds.flatMap((larger) =>
      kinds.flatMap((smaller) =>
        larger !== smaller && larger.length > smaller.length ? (recut(larger, smaller, job.strip) ?? []) : [],
      ),
    ),
    packed: [...new Set(lines.map((line) => line.stock))].map((name) => {
      const own = lines.filter((line) => line.stock === name);
      const demands = own.map((line) => ({
        ...{ name: line.name, length: line.rough, count: line.needed + line.spares },
      }));
      return { stock: name, thickness: own[0]!.thickness, packed: packStock(demands, stock) };
    }),
  };
}

function pieceLine(
  job: Job,
  stock: Stock,
  piece: Piece,
  { cells, seed, draws }: { cells: number; seed: number; draws: number },
): Omit<CutLine, "spares"> {
  const { pieces } = cellOf(job);
  const scrapByCuts = scrapChance(job, piece.name, draws, seed);
  return {
    ...{ name: piece.kind, stock: "strips", thickness: job.strip, finished: piece.length },
    rough: roughLength(piece.length + stock.allowance, job.units),
    needed: cells * pieces.filter(({ kind }) => kind === piece.kind).length,
    scrapByCuts,
    scrap: 1 - (1 - scrapByCuts.value) * (1 - stock.mishaps),
  };
}

/** A panel's grid and border; `null` where the cells are no upright rectangles, and no grid is reckoned. */
function gridLines(job: Job, stock: Stock): Omit<CutLine, "spares">[] | null {
  const { panel, strip, units } = job;
  const size = cellSize(cellOf(job));
  if (panel === null || size === null) return null;
  const { rows, columns, border, gridStock } = panel;
  const high = rows * size.height + (rows - 1) * strip;
  const wide = columns * size.width + (columns - 1) * strip;
  const kind = gridStock === "same" ? "strips" : "grid";
  const edge = 2 * border.thickness;
  const line = (
    name: string,
    from: CutLine["stock"],
    finished: number,
    needed: number,
  ): Omit<CutLine, "spares"> => ({
    ...{ name, stock: from, finished, needed },
    thickness: from === "border" ? border.thickness : strip,
    rough: roughLength(finished + stock.allowance, units),
    ...{ scrapByCuts: null, scrap: stock.mishaps },
  });
  return [
    line("grid strip, upright", kind, high, columns - 1),
    line("grid strip, level", kind, wide, rows - 1),
    line("border, upright", "border", high + edge, 2),
    line("border, level", "border", wide + edge, 2),
  ].filter(({ needed }) => needed > 0);
}

/** Where the laps of the grid's strips are cut: the middle of each, from the strip's end, mm. */
function lapLines({ panel, strip }: Job, lines: readonly CutLine[]): LapLine[] {
  if (panel === null) return [];
  return (
    [
      ["grid strip, upright", panel.rows],
      ["grid strip, level", panel.columns],
    ] as const
  ).flatMap(([name, cells]): LapLine[] => {
    const found = lines.find((line) => line.name === name);
    if (!found || cells < 2) return [];
    const pitch = (found.finished + strip) / cells;
    const places = Array.from({ length: cells - 1 }, (_, k) => (k + 1) * pitch - strip / 2);
    return [{ name, width: panel.laps.width, depth: panel.laps.depth, places }];
  });
}

function setUpLines(job: Job, lines: readonly CutLine[]): SetUpLine[] {
  const { pieces } = cellOf(job);
  return job.setUps.flatMap((setUp) =>
    setUp.cuts.flatMap((group): SetUpLine[] => {
      const piece = pieces.find(({ cuts }) => cuts.some((cut) => cut.group === group));
      const jig = job.jigs.find(({ name }) => name === setUp.jig);
      const line = lines.find(({ name }) => name === piece?.kind);
      if (!piece || !jig || !line) return [];
      const cuts = piece.cuts.filter((cut) => cut.group === group);
      const count = line.needed + line.spares;
      return [
        {
          ...{ setUp: setUp.name, jig: jig.name, ramp: jig.ramp, group, piece: piece.kind },
          setting: setUp.stop === null ? null : piece.length / 2 + cuts[0]!.reach,
          ...{ pieces: count, passes: count * cuts.length },
        },
      ];
    }),
  );
}

/** The set-ups that make groups of cuts; empty where the job has none for them. */
export function setUpsFor(job: Job, groups: readonly string[]): string[] {
  const setUpOf = setUpByGroup({ jigs: job.jigs, setUps: job.setUps, batchThickness: 0 });
  const { pieces } = cellOf(job);
  const cuts = pieces.flatMap((piece) => piece.cuts);
  return [
    ...new Set(
      groups.flatMap((group) => {
        const cut = cuts.find((one) => one.group === group);
        return (cut && setUpOf(cut)?.name) ?? [];
      }),
    ),
  ];
}
