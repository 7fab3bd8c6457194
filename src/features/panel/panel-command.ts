import { loadJob } from "../../io/job/load-job.js";
import type { Order } from "../../model/cell/cell.js";
import { chartLabels } from "../../render/charts/chart-spec.js";
import { specToSvg, svgToPng } from "../../render/charts/draw-chart.js";
import { drawnFiles } from "../../render/drawn-files.js";
import { progressLine } from "../../render/progress-line.js";
import type { PanelWay } from "./grid-shape.js";
import { panelCharts } from "./panel-charts.js";
import { panelJson } from "./panel-json.js";
import { panelText } from "./panel-text.js";
import { type PanelOptions, predictPanel } from "./predict-panel.js";

export interface PanelFlags {
  readonly json?: boolean;
  readonly panels?: number;
  readonly way?: PanelWay;
  readonly order?: Order;
  readonly seed?: number;
  readonly threads?: number;
  /** No other ways, no budget. */
  readonly quick?: boolean;
  readonly out?: string;
  readonly png?: boolean;
}

/** Pixels across a PNG: sharp on paper at 90 mm. */
const PNG_WIDTH = 1080;
/** Pixels across a drawing for each column of the panel, and at least and at most. */
const WIDTH = { column: 22, least: 360, most: 1200 } as const;

/** `sukima panel JOBFOLDER`: how likely the job's panel closes, what is to be re-fitted, and why. Ctrl-C ends it with what is known; a second one ends it at once. */
export async function panelCommand(folder: string, flags: PanelFlags): Promise<string> {
  const { json, panels, way, order, seed, threads, quick, out, png } = flags;
  const job = loadJob(folder);
  const stop = new AbortController();
  const onInterrupt = (): void => stop.abort();
  process.once("SIGINT", onInterrupt);
  const line = progressLine(process.stderr);
  const options: PanelOptions = {
    ...{ signal: stop.signal, onProgress: line.show },
    ...(panels === undefined ? {} : { panels }),
    ...(way && { way }),
    ...(order && { order }),
    ...(seed === undefined ? {} : { seed }),
    ...(threads === undefined ? {} : { threads }),
    ...(quick ? { ways: false, budget: false } : {}),
  };
  try {
    const prediction = await predictPanel(job, options);
    line.end();
    const files: Record<string, string | Uint8Array> = {};
    const width = Math.min(WIDTH.most, Math.max(WIDTH.least, WIDTH.column * prediction.shape.panel.columns));
    for (const [name, spec] of out === undefined ? [] : panelCharts(prediction, { width })) {
      const svg = await specToSvg(spec, chartLabels(spec));
      files[`${name}.${png ? "png" : "svg"}`] = png
        ? await svgToPng(svg, { width: Math.max(PNG_WIDTH, 2 * width) })
        : svg;
    }
    const written = drawnFiles(out, files);
    if (json) return JSON.stringify(panelJson(prediction), null, 1);
    return [panelText(prediction), ...written].join("\n");
  } finally {
    line.end();
    process.off("SIGINT", onInterrupt);
  }
}
