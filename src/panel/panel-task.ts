import type { Job } from "../job/job.js";
import { createKernel, type SeatingKernel } from "../kernel/create-kernel.js";
import { cellModel } from "../predict/cell-model.js";
import type { Order } from "../predict/settle.js";
import { PanelError } from "./panel-error.js";
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
  readonly kernel: SeatingKernel;
}

/** @throws PanelError for a way that cannot be reckoned yet. */
export function readyPanel(task: PanelTask): ReadyPanel {
  if (task.way === "fitted")
    throw new PanelError(
      "A panel of pieces fitted by trial cannot be reckoned yet; write lengths: as-cut, or ask for pieces as cut or sorted.",
    );
  const sources = panelSources(task.job);
  const { pressRatio } = task.job;
  const options = { order: task.order, pressRatio, inputs: sources.inputs };
  return { task, sources, kernel: createKernel(cellModel(sources.cell), options) };
}
