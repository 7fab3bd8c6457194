import { join } from "node:path";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { panelSources } from "../../../src/features/panel/draw-panel.js";
import type { PanelWay } from "../../../src/features/panel/grid-shape.js";
import { PanelTally, panelBlocks, panelRows, readyPanel } from "../../../src/features/panel/panel-tally.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import type { Panel } from "../../../src/model/job/panel.js";
import { createKernel } from "../../../src/physics/kernel/seating-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { type BenchLine, interleave, lineOf, median, ratios, type Timed } from "./bench-line.js";

const DEMO = join(PACKAGE_ROOT, "data/alcove-screen");
const [ROWS, COLUMNS] = [20, 30];
const CELLS = ROWS * COLUMNS;
/** Simulated a repeat, and those that the line of seconds is for. */
const PANELS = 200;
const ALL_PANELS = 10_000;
const MOST_SECONDS = 60;

/** A panel of 20 × 30 cells of the demo job on one thread, against drawing the same normals and finding the free gaps; and how long 10,000 panels take. */
export function panelLines(repeats: number): BenchLine[] {
  const loaded = loadJob(DEMO);
  const job = { ...loaded, panel: { ...PANEL, border: { thickness: 12, turn: 1e-4 } } };
  const sources = panelSources(job);
  const kernel = createKernel(cellModel(sources.cell), {
    inputs: sources.inputs,
    pressRatio: job.pressRatio,
  });
  const trials = PANELS * CELLS;
  const floor = (): void => {
    const stream = createStream(1);
    for (let done = 0; done < trials; done += kernel.batchTrials) {
      const batch = Math.min(kernel.batchTrials, trials - done);
      for (let trial = 0; trial < batch; trial++) stream.fill(kernel.drawsOf(trial));
      kernel.freeGaps(batch);
    }
  };
  const simulated = (way: PanelWay) => {
    const task = { job, way, order: "first", seed: 1, panels: PANELS } as const;
    const ready = readyPanel(task);
    return (): void => {
      const tally = new PanelTally(ready);
      const rows = panelRows(task);
      for (let block = 0; block < panelBlocks(PANELS, CELLS); block++) tally.work(block, rows);
    };
  };
  const tasks: Timed[] = [
    { name: "floor", trials, run: floor },
    { name: "panel", trials, run: simulated("as-cut") },
    { name: "sorted", trials, run: simulated("sorted") },
  ];
  const times = interleave(tasks, repeats);
  const own = times.get("panel")!;
  const line = (name: string, of: number[]): BenchLine =>
    lineOf(name, ratios(of, times.get("floor")!), null, "at most", median(of));
  return [
    line(`a cell of ${ROWS} × ${COLUMNS} / floor, first order`, own),
    line("the same, pieces measured and sorted / floor", times.get("sorted")!),
    lineOf(
      `${ALL_PANELS.toLocaleString("en")} panels of ${ROWS} × ${COLUMNS}, seconds`,
      own.map((ns) => (ns * CELLS * ALL_PANELS) / 1e9),
      MOST_SECONDS,
      "at most",
      null,
      `one thread; from ${PANELS} panels a repeat`,
    ),
  ];
}

const PANEL: Omit<Panel, "border"> = {
  rows: ROWS,
  columns: COLUMNS,
  diagonals: "alternate",
  gridStock: "same",
  racked: 5e-4,
  frame: null,
  laps: { way: "stop", bundled: false, place: 0.02, width: 4.03, depth: null, depthSd: 0.05 },
  measured: { pieces: 0.01, openings: 0.02 },
};
