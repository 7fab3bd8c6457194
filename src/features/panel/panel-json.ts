import type { PanelPrediction } from "./panel-prediction.js";

const DEGREE = Math.PI / 180;

/** A panel for other programs: mm, degrees, chances and shares as numbers from 0 to 1, rows and columns from 1. */
export function panelJson({ job, shape, walls, ...rest }: PanelPrediction): unknown {
  const { kind, panel, opening, strip, width, height } = shape;
  return {
    job: job.title,
    panel: {
      ...panel,
      border: { ...panel.border, turn: panel.border.turn / DEGREE },
      racked: panel.racked / DEGREE,
    },
    nominal: {
      ...{ grid: kind, opening, strip, width, height },
      ...(shape.kind === "three-way" && { halves: shape.grid.halves }),
    },
    limits: job.limits,
    ...rest,
    walls: { ...walls, turn: walls.turn / DEGREE },
  };
}
