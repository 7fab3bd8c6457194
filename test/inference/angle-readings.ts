import type { Job } from "../../src/model/job/job.js";
import type { Reading } from "../../src/model/readings.js";
import type { SourceId } from "../../src/model/source-id.js";
import { demoJob } from "./demo.js";

export const DEGREE = Math.PI / 180;

/** The demonstration job's shop in first order, its instruments without gross mistakes. */
export const angleJob: Job = { ...demoJob, order: "first", mistakes: 0 };

/** Variance of one angle read on a new cut, rad²: the cut's own error, the gauge's repeatability, and a step read to its nearest (a uniform error, step²/12). */
export const ANGLE_VARIANCE = (0.06 ** 2 + 0.06 ** 2 + 0.1 ** 2 / 12) * DEGREE ** 2;

/** Label of the ramp that every reading here is of, and its prior standard deviation (`trusted-to`), rad. */
export const LABEL = 67.5 * DEGREE;
export const PRIOR_SD = 0.5 * DEGREE;
export const RAMP: SourceId = { kind: "ramp", of: "point-67" };

/** An angle of the left cut of a new trial piece from the point-67 ramp, rad: a value, or an interval that holds it. */
export function angleReading(trial: string, what: number | readonly [low: number, high: number]): Reading {
  const interval = typeof what === "number" ? null : what;
  return {
    id: `angle of ${trial}`,
    line: 0,
    trial,
    setUp: "hinge-point",
    bench: "none",
    round: null,
    what: "angle",
    subject: "start-left",
    at: null,
    instrument: "angle-gauge",
    note: "",
    value: interval === null ? (what as number) : null,
    low: interval?.[0] ?? null,
    high: interval?.[1] ?? null,
  };
}
