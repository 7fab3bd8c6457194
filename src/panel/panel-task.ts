import type { Job } from "../job/job.js";
import { type CellSeater, createSeater } from "../kernel/fitted/create-seater.js";
import { cellModel } from "../predict/cell-model.js";
import type { Order } from "../lattice/cell.js";
import { type PanelSources, panelSources } from "./panel-sources.js";
import type { PanelWay } from "./panel-ways.js";

/** What is simulated: can be sent to a thread. */
export interface PanelTask {
  readonly job: Job;
  readonly way: PanelWay;
  readonly order: Order;
  readonly seed: number;
  /** Panels there will be at most, 1 … 10⁶. */
  readonly panels: number;
}

/** A task made ready. */
export interface ReadyPanel {
  readonly task: PanelTask;
  readonly sources: PanelSources;
  readonly kernel: CellSeater;
}

/**
 * @throws LatticeError when pieces are to be fitted by trial in a cell that has no order of fitting.
 * @throws PanelError when the job has no panel, or cells that are neither rectangles nor equilateral triangles.
 */
export function readyPanel(task: PanelTask): ReadyPanel {
  const sources = panelSources(task.job);
  const { pressRatio, limits } = task.job;
  const options = { order: task.order, pressRatio, inputs: sources.inputs };
  const fitting = task.way === "fitted" ? { fitting: { snug: limits.snug } } : {};
  return { task, sources, kernel: createSeater(cellModel(sources.cell), { ...options, ...fitting }) };
}
