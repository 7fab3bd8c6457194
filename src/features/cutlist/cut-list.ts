import { at } from "../../core/numeric/dense.js";
import type { Estimated } from "../../inference/forecast/tally-blocks.js";
import { type JobPosterior, jobPosterior } from "../../inference/job-posterior.js";
import type { Piece } from "../../model/cell/arrangement.js";
import { openingShape, type UprightOpening } from "../../model/cell/opening-shape.js";
import { type Family, gridStrips, type ThreeWayGrid, threeWayGrid } from "../../model/cell/three-way-grid.js";
import { type Job, STOCK_DEFAULTS, type Stock } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import type { Panel } from "../../model/job/panel.js";
import { jigOf, setUpByGroup } from "../../model/shop.js";
import { type PackedStock, packStock } from "./pack-stock.js";
import { type Recut, recut } from "./recut.js";
import { SCRAP_DRAWS, scrapChance, sparesFor } from "./spares.js";

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

/** The laps of one strip of the grid. */
export interface LapLine {
  readonly name: string;
  /** Square across the lap, mm. */
  readonly width: number;
  /** mm; where three strips cross, of one layer; `null` where neither panel nor job tells: half the strip's, or of three layers a third. */
  readonly depth: number | null;
  /** Which of the three layers of a crossing it is: the bottom strip is cut two layers deep from the front, the middle one a layer from both sides, the top one two layers from the back; `null` where two strips cross. */
  readonly layer: LapLayer | null;
  /** Middle of each lap from the end of the finished strip, mm. */
  readonly places: readonly number[];
}

/** What to cut for a whole screen; lengths mm, chances from 0 to 1. */
export interface CutList {
  readonly job: Job;
  /** What the spares rest on. */
  readonly posterior: JobPosterior;
  readonly stock: Stock;
  /** Whether the job itself says what the stock is. */
  readonly stated: boolean;
  /** Number of cells to fill. */
  readonly cells: number;
  /** Whether the grid and the border are in it. */
  readonly grid: boolean;
  /** Number of further cells that the border of a three-way grid cuts in half; their pieces are not in it. */
  readonly halves: number;
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
  /** What is known of the scatters from cut to cut; default: what the job states, without readings. */
  readonly posterior?: JobPosterior;
  /** Of every draw, whole, ≥ 0; default 1. */
  readonly seed?: number;
  /** Number of pieces drawn of each kind; default {@link SCRAP_DRAWS}. */
  readonly draws?: number;
}

/**
 * What to cut for a whole screen: pieces, grid and border with their spares, set-up by set-up, from which sticks, and what becomes of scrap.
 *
 * @throws UserError (code "cut-list") when a piece does not fit the stock, or too many of its kind are scrap.
 * @example
 * planCuts(job).cells // 20
 */
export function planCuts(job: Job, options: CutListOptions = {}): CutList {
  const { seed = 1, draws = SCRAP_DRAWS, posterior = jobPosterior(job, [], { seed }) } = options;
  const stock = job.stock ?? STOCK_DEFAULTS;
  const cell = jobCell(job);
  const cells = job.panel ? job.panel.rows * job.panel.columns : Math.round(job.costs.cells);
  const kinds = [...new Map(cell.pieces.map((piece) => [piece.kind, piece])).values()];
  const grid = gridParts(job);
  const bare: Omit<CutLine, "spares">[] = [
    ...kinds.map((piece) => pieceLine(job, stock, piece, { cells, seed, draws, posterior })),
    ...(grid?.parts ?? []).map(gridLine(job, stock)),
  ];
  const { spares, chance } = sparesFor(
    bare.map(({ name, needed, scrap, rough }) => ({ name, count: needed, scrap, length: rough })),
    stock.sure,
  );
  const lines = bare.map((line, i): CutLine => ({ ...line, spares: at(spares, i) }));
  return {
    job,
    posterior,
    stock,
    stated: job.stock !== undefined,
    cells,
    lines,
    sure: chance,
    grid: grid !== null,
    halves: grid?.halves ?? 0,
    laps: (grid?.parts ?? []).flatMap(lapLine(job)),
    setUps: setUpLines(job, lines),
    recuts: kinds.flatMap((larger) =>
      kinds.flatMap((smaller) =>
        larger !== smaller && larger.length > smaller.length ? (recut(larger, smaller, job.strip) ?? []) : [],
      ),
    ),
    packed: [...new Set(lines.map((line) => line.stock))].map((name) => {
      const own = lines.filter((line) => line.stock === name);
      const demands = own.map((line) => ({
        name: line.name,
        length: line.rough,
        count: line.needed + line.spares,
      }));
      return { stock: name, thickness: at(own, 0).thickness, packed: packStock(demands, stock) };
    }),
  };
}

function pieceLine(
  job: Job,
  stock: Stock,
  piece: Piece,
  { cells, seed, draws, posterior }: Required<CutListOptions> & { readonly cells: number },
): Omit<CutLine, "spares"> {
  const { pieces } = jobCell(job);
  const scrapByCuts = scrapChance(job, piece.name, draws, seed, posterior);
  return {
    name: piece.kind,
    stock: "strips",
    thickness: job.strip,
    finished: piece.length,
    rough: roughLength(piece.length + stock.allowance, job.units),
    needed: cells * pieces.filter(({ kind }) => kind === piece.kind).length,
    scrapByCuts,
    scrap: 1 - (1 - scrapByCuts.value) * (1 - stock.mishaps),
  };
}

/** Strips and members without their spares. */
const gridLine =
  ({ panel, strip, units }: Job, stock: Stock) =>
  ({ name, of, count, length }: GridPart): Omit<CutLine, "spares"> => ({
    name,
    finished: length,
    needed: count,
    ...(of === "border"
      ? { stock: "border", thickness: panel!.border.thickness }
      : { stock: panel!.gridStock === "same" ? "strips" : "grid", thickness: strip }),
    rough: roughLength(length + stock.allowance, units),
    scrapByCuts: null,
    scrap: stock.mishaps,
  });

/** How deep the laps of a part are cut, mm; where three strips cross, one of three layers. Where the panel names no depth of its laps, it follows from how far the strips run through the panel, if the job says that; else `null`. */
export function lapDepth({ panel, depth: through }: Job, { layer }: Pick<GridPart, "layer">): number | null {
  return panel?.laps.depth ?? (through === undefined ? null : through / (layer === null ? 2 : 3));
}

const lapLine =
  (job: Job) =>
  (part: GridPart): LapLine[] => {
    const { name, laps: places, layer } = part;
    const width = job.panel?.laps.width ?? job.strip;
    return places.length === 0 ? [] : [{ name, width, depth: lapDepth(job, part), layer, places }];
  };

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
  /** Number of pieces, and of passes over the jig: a point takes two. */
  readonly pieces: number;
  readonly passes: number;
}

/** What each set-up of a job makes of the pieces. */
export function setUpLines(job: Job, lines: readonly CutLine[]): SetUpLine[] {
  const { pieces } = jobCell(job);
  return job.setUps.flatMap((setUp) =>
    setUp.cuts.flatMap((group): SetUpLine[] => {
      const piece = pieces.find(({ cuts }) => cuts.some((cut) => cut.group === group));
      const jig = jigOf(job, setUp);
      const line = lines.find(({ name }) => name === piece?.kind);
      if (!piece || !line) return [];
      const cuts = piece.cuts.filter((cut) => cut.group === group);
      const count = line.needed + line.spares;
      return [
        {
          setUp: setUp.name,
          jig: jig.name,
          ramp: jig.ramp,
          group,
          piece: piece.kind,
          setting: setUp.stop === null ? null : piece.length / 2 + at(cuts, 0).reach,
          pieces: count,
          passes: count * cuts.length,
        },
      ];
    }),
  );
}

/** The set-ups that make groups of cuts; empty where the job has none for them. */
export function setUpsFor(job: Job, groups: readonly string[]): string[] {
  const setUpOf = setUpByGroup(job);
  const { pieces } = jobCell(job);
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

const MM_PER_INCH = 25.4;
/** What a rough piece is marked out to: whole mm, sixteenths of an inch. */
const MARK = { mm: 1, in: MM_PER_INCH / 16 } as const;

/** A rough piece's length rounded up to a mark that a saw's stop is set by, mm. */
export function roughLength(mm: number, units: "mm" | "in"): number {
  const marks = Math.ceil(mm / MARK[units] - 1e-9);
  return marks * MARK[units];
}

/** Where a strip lies in a crossing of three, seen from the front. */
export type LapLayer = "bottom" | "middle" | "top";
const LAYERS: Readonly<Record<Family, LapLayer>> = { level: "bottom", falling: "middle", rising: "top" };

/** Strips of the grid, or members of the border, that are cut alike; lengths mm. */
export interface GridPart {
  readonly name: string;
  readonly of: "grid" | "border";
  readonly count: number;
  /** Tip to tip, finished. */
  readonly length: number;
  /** Middle of each lap from the end that they are counted from. */
  readonly laps: readonly number[];
  /** `null` where two strips cross, each lapped by half. */
  readonly layer: LapLayer | null;
}

/** A panel's grid and border, and how many cells its border cuts in half; `null` where there is no panel, or no straight strips that leave such cells. */
export function gridParts(job: Job): { readonly parts: GridPart[]; readonly halves: number } | null {
  const { panel, strip } = job;
  const opening = openingShape(jobCell(job).walls);
  if (panel === null || opening === null) return null;
  if (opening.kind === "upright") return { parts: uprightParts(panel, opening, strip), halves: 0 };
  const grid = threeWayGrid(panel.rows, panel.columns, opening.side, strip);
  return { parts: threeWayParts(panel, grid), halves: grid.halves };
}

function uprightParts({ rows, columns, border }: Panel, { width, height }: UprightOpening, strip: number) {
  const clear = (cells: number, opening: number): number => cells * opening + (cells - 1) * strip;
  const strips = (name: string, count: number, crossed: number, opening: number): GridPart => ({
    name: `grid strip, ${name}`,
    of: "grid",
    count,
    length: clear(crossed, opening),
    layer: null,
    laps: Array.from({ length: crossed - 1 }, (_, k) => (k + 1) * (opening + strip) - strip / 2),
  });
  return [
    strips("upright", columns - 1, rows, height),
    strips("level", rows - 1, columns, width),
    ...borderParts(border.thickness, clear(columns, width), clear(rows, height)),
  ].filter(({ count }) => count > 0);
}

function threeWayParts({ border }: Panel, grid: ThreeWayGrid): GridPart[] {
  const strips = gridStrips(grid);
  return [
    ...strips.map(({ family, count, tips, laps }, at): GridPart => {
      const alike = strips.filter((one) => one.family === family);
      const number = alike.length > 1 ? ` ${alike.indexOf(strips[at]!) + 1}` : "";
      const name = `grid strip, ${family}${number}`;
      return { name, of: "grid", count, length: tips, laps, layer: LAYERS[family] };
    }),
    ...borderParts(border.thickness, grid.clear.width, grid.clear.height),
  ];
}

const borderParts = (thickness: number, width: number, height: number): GridPart[] =>
  (
    [
      ["upright", height],
      ["level", width],
    ] as const
  ).map(([name, clear]) => ({
    name: `border, ${name}`,
    of: "border",
    count: 2,
    length: clear + 2 * thickness,
    laps: [],
    layer: null,
  }));
