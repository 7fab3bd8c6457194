import { join } from "node:path";
import {
  gridShape,
  type ThreeWayShape,
  type UprightShape,
} from "../../../../src/features/panel/grid-shape.js";
import { loadJob } from "../../../../src/io/job/load-job.js";
import type { Job } from "../../../../src/model/job/job.js";
import type { Panel } from "../../../../src/model/job/panel.js";

const DEMO = loadJob(join(import.meta.dirname, "../../../../data/alcove-screen"));
const DEGREE = Math.PI / 180;

/** A panel with something wrong everywhere. */
export const PANEL: Panel = {
  rows: 3,
  columns: 3,
  diagonals: "alternate",
  gridStock: "same",
  racked: 0.04 * DEGREE,
  frame: null,
  border: { thickness: 12, turn: 0.01 * DEGREE },
  laps: {
    way: "stop",
    bundled: false,
    place: 0.02,
    width: DEMO.strip + 0.03,
    depth: null,
    depthSd: 0.05,
  },
  measured: { pieces: 0.01, openings: 0.02 },
};

/** The demo's shop after its jigs were set: ramps to 0.05°, stops to 0.02 mm. */
export function panelJob(panel: Partial<Panel> = {}, change: Partial<Job> = {}): Job {
  return {
    ...DEMO,
    jigs: DEMO.jigs.map((jig) => ({ ...jig, priorSd: 0.05 * DEGREE })),
    setUps: DEMO.setUps.map((setUp) => ({
      ...setUp,
      stop: setUp.stop && { ...setUp.stop, priorSd: 0.02 },
    })),
    panel: {
      ...PANEL,
      ...panel,
      laps: { ...PANEL.laps, ...panel.laps },
      border: { ...PANEL.border, ...panel.border },
    },
    ...change,
  };
}

/** The grid of a panel whose cells are rectangles, or triangles. */
export function uprightShape(job: Job): UprightShape {
  const shape = gridShape(job);
  if (shape.kind !== "upright") throw new Error("Its cells are no rectangles.");
  return shape;
}

export function threeWayShape(job: Job): ThreeWayShape {
  const shape = gridShape(job);
  if (shape.kind !== "three-way") throw new Error("Its cells are no triangles.");
  return shape;
}

/** A small three-way panel with something wrong everywhere. */
export const TRIANGLES = loadJob(join(import.meta.dirname, "triangles.yaml"));

export const trianglesWith = (panel: Partial<Panel>, laps: Partial<Panel["laps"]> = {}): Job => ({
  ...TRIANGLES,
  panel: { ...TRIANGLES.panel!, ...panel, laps: { ...TRIANGLES.panel!.laps, ...laps } },
});

/** Spreads of a grid that is perfect but for what is named. */
export const PERFECT_GRID = {
  place: 0,
  play: 0,
  batch: 0,
  thickness: 0,
  racked: 0,
  borderTurn: 0,
  borderBatch: 0,
  borderThickness: 0,
} as const;
