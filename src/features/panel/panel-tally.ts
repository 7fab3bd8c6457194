import { createStreams, type RandomStream } from "../../core/numeric/random-stream.js";
import type { BlockWork } from "../../core/threads/pool-thread.js";
import { startsLong } from "../../inference/forecast/forecast-cells.js";
import type { ForecastLimits } from "../../inference/forecast/tally-blocks.js";
import type { KnownSources } from "../../inference/job-posterior.js";
import type { Order } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import { type CellSeater, createSeater, FittedKernel } from "../../physics/kernel/fitted-kernel.js";
import { cellModel } from "../../physics/predict/cell-model.js";
import {
  NOTHING_STEADY,
  PanelDrawer,
  type PanelSources,
  panelSources,
  type SteadyParts,
} from "./draw-panel.js";
import type { PanelWay } from "./grid-shape.js";

/** Layout of the numbers that are stored for each panel. */
export const ROW = {
  /** Cells that do not close, that are open beyond the gap limit, pressed beyond the snug limit. Pieces fitted by trial have gone in: their press is not counted. */
  fails: 0,
  open: 1,
  tight: 2,
  /** Largest gap and deepest press of any cell, mm. */
  widestGap: 3,
  deepestPress: 4,
  /** Sum and sum of squares of the cells' widest gaps, mm and mm². */
  sum: 5,
  squares: 6,
  /** Outer size, mm. */
  width: 7,
  height: 8,
  /** Share of the laps that a strip has to be pressed into. */
  tightLaps: 9,
  numbers: 10,
} as const;

/** Minimum number of cells in one block of panels. */
const BLOCK_CELLS = 8192;

export const panelsInBlock = (cells: number): number => Math.ceil(BLOCK_CELLS / cells);
export const panelBlocks = (panels: number, cells: number): number =>
  Math.ceil(panels / panelsInBlock(cells));

/** Sums of gaps are kept in steps of 2⁻³⁰ mm, as integers, so that their total does not depend on the order. */
const STEP = 2 ** 30;

/** Counts by the position of a cell in the panel. */
export interface PlaceCounts {
  /** Number of panels in which the cell at each position does not close. */
  readonly fails: Float64Array;
  /** Sum of its widest gaps, in steps of 2⁻³⁰ mm. */
  readonly gaps: Float64Array;
}

export const placeGap = (gaps: Float64Array, place: number, panels: number): number =>
  gaps[place]! / STEP / panels;

/** Draws, seats and counts blocks of panels; panel k draws from sub-stream k of the seed, whichever thread runs it and when. */
export class PanelTally {
  readonly places: PlaceCounts;
  readonly #ready: ReadyPanel;
  readonly #drawer: PanelDrawer;
  readonly #streams: readonly RandomStream[];
  readonly #gap: Float64Array;
  readonly #press: Float64Array;

  constructor(ready: ReadyPanel, steady: SteadyParts = NOTHING_STEADY) {
    const { task, sources } = ready;
    this.#ready = ready;
    this.#drawer = new PanelDrawer(sources, task.way, steady);
    this.#streams = createStreams(task.seed, task.panels);
    const { cells } = this.#drawer;
    const most = panelsInBlock(cells) * cells;
    this.#gap = new Float64Array(most);
    this.#press = new Float64Array(most);
    this.places = { fails: new Float64Array(cells), gaps: new Float64Array(cells) };
  }

  /** Number of groups of pieces that could not be fitted by trial; they keep the length at which the search ended. */
  get unfitted(): number {
    const { kernel } = this.#ready;
    return kernel instanceof FittedKernel ? kernel.unfitted : 0;
  }

  /**
   * Works on one block of panels and writes a row of {@link ROW} for each.
   *
   * @returns how many panels it had.
   * @throws UserError (code "seating") when a cell finds no equilibrium.
   */
  work(block: number, rows: Float64Array): number {
    const { task, kernel, sources } = this.#ready;
    const { cells, drawn, grid } = this.#drawer;
    const first = block * panelsInBlock(cells);
    const panels = Math.min(panelsInBlock(cells), task.panels - first);
    const width = sources.inputs.draws;
    let [seated, waiting] = [0, 0];
    const seat = (): void => {
      kernel.seat(waiting);
      for (let trial = 0; trial < waiting; trial++) {
        this.#gap[seated + trial] = kernel.widestGap(trial);
        this.#press[seated + trial] = kernel.deepestPress(trial);
      }
      seated += waiting;
      waiting = 0;
    };
    for (let panel = first; panel < first + panels; panel++) {
      this.#drawer.draw(this.#streams[panel]!, panel);
      const row = panel * ROW.numbers;
      const [outerWidth, outerHeight] = grid.outerSize();
      rows[row + ROW.width] = outerWidth;
      rows[row + ROW.height] = outerHeight;
      rows[row + ROW.tightLaps] = grid.crossings === 0 ? 0 : grid.tight / grid.crossings;
      for (let cell = 0; cell < cells; cell++) {
        const own = kernel.drawsOf(waiting++);
        const from = cell * width;
        for (let k = 0; k < width; k++) own[k] = drawn[from + k]!;
        if (waiting === kernel.batchTrials) seat();
      }
    }
    if (waiting > 0) seat();
    for (let panel = 0; panel < panels; panel++)
      this.#count(panel * cells, rows, (first + panel) * ROW.numbers);
    return panels;
  }

  #count(from: number, rows: Float64Array, row: number): void {
    const { job, way } = this.#ready.task;
    const { gap: gapLimit, snug }: ForecastLimits = job.limits;
    const pressLimit = way === "fitted" ? Number.POSITIVE_INFINITY : snug;
    let [fails, open, tight, sum, squares, widestGap, deepestPress] = [0, 0, 0, 0, 0, 0, 0];
    for (let place = 0; place < this.#drawer.cells; place++) {
      const [gap, press] = [this.#gap[from + place]!, this.#press[from + place]!];
      const [wide, pressed] = [gap > gapLimit, press > pressLimit];
      if (wide) open++;
      if (pressed) tight++;
      if (wide || pressed) {
        fails++;
        this.places.fails[place]!++;
      }
      this.places.gaps[place]! += Math.round(gap * STEP);
      sum += gap;
      squares += gap * gap;
      if (gap > widestGap) widestGap = gap;
      if (press > deepestPress) deepestPress = press;
    }
    rows[row + ROW.fails] = fails;
    rows[row + ROW.open] = open;
    rows[row + ROW.tight] = tight;
    rows[row + ROW.sum] = sum;
    rows[row + ROW.squares] = squares;
    rows[row + ROW.widestGap] = widestGap;
    rows[row + ROW.deepestPress] = deepestPress;
  }
}

/** All rows of a task's panels. */
export const panelRows = (task: PanelTask): Float64Array =>
  new Float64Array(new SharedArrayBuffer(task.panels * ROW.numbers * Float64Array.BYTES_PER_ELEMENT));

/** The simulation task as plain data that can be sent to a thread. */
export interface PanelTask {
  readonly job: Job;
  /** Posterior of the sources; default: the prior that the job states. */
  readonly known?: KnownSources;
  readonly way: PanelWay;
  readonly order: Order;
  readonly seed: number;
  /** Maximum number of panels, 1 … 10⁶. */
  readonly panels: number;
}

/** The counts of one thread. */
export interface PanelCounts {
  readonly places: PlaceCounts;
  readonly unfitted: number;
}

/** The simulation of panels for a worker pool; `rows` is shared by all threads, a row of {@link ROW} for each panel. */
export function panelWork({
  task,
  rows,
}: {
  readonly task: PanelTask;
  readonly rows: Float64Array;
}): BlockWork<number, PanelCounts> {
  const tally = new PanelTally(readyPanel(task));
  return {
    work: (block) => tally.work(block, rows),
    total: () => ({ places: tally.places, unfitted: tally.unfitted }),
  };
}

/** A prepared task. */
export interface ReadyPanel {
  readonly task: PanelTask;
  readonly sources: PanelSources;
  readonly kernel: CellSeater;
}

/**
 * @throws UserError (code "cell") when pieces are to be fitted by trial in a cell that has no order of fitting.
 * @throws UserError (code "panel") when the job has no panel, or cells that are neither rectangles nor equilateral triangles.
 */
export function readyPanel(task: PanelTask): ReadyPanel {
  const sources = panelSources(task.job, task.known);
  const { pressRatio, limits } = task.job;
  const options = { order: task.order, pressRatio, inputs: sources.inputs };
  // With readings the lengths as cut are known: pieces start from them.
  const long = task.known === undefined || startsLong(task.known);
  const fitting = task.way === "fitted" ? { fitting: { snug: limits.snug, startsLong: long } } : {};
  return { task, sources, kernel: createSeater(cellModel(sources.cell), { ...options, ...fitting }) };
}
