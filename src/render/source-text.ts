import type { Fence } from "../model/shop.js";
import type { ErrorId, ScatterId } from "../model/source-id.js";
import type { DirectionId } from "../physics/sensitivity/error-directions.js";

/**
 * The name of an error source for people: `ramp of point-45`, `move of the stop of key-end in round-2`. It is only ever printed.
 *
 * @example
 * sourceText(jobSources(job)[0].id) // "ramp of point-45"
 */
export function sourceText(id: ErrorId): string {
  if ("round" in id && id.round !== undefined)
    return `move of the ${sourceText({ kind: id.kind, of: id.of })} in ${id.round}`;
  switch (id.kind) {
    case "thickness":
      return "thickness of the batch";
    case "scatter":
      return SCATTERS[id.of];
    case "grid":
      return id.of === "racking" ? "grid racked" : "size of the opening";
    case "off-centre":
      return `${id.of} off centre`;
    default:
      return `${id.kind} of ${id.of}`;
  }
}

/** The name of a direction of errors, for people: `ramp 67.5°`, `stop of hinge.mitre`. */
export function directionText(id: DirectionId): string {
  switch (id.kind) {
    case "ramp":
      return `ramp ${plainDegrees(id.jigAngle)}`;
    case "lean":
      return `lean of ramp ${plainDegrees(id.jigAngle)}`;
    case "stop":
    case "off-centre":
      return sourceText(id);
    case "stock":
      return `stock, ${STOCKS[id.fence]}`;
    case "cut":
      return `one ${id.role} alone, ${id.measure}`;
    case "grid":
      return WALLS[id.of];
  }
}

const STOCKS: Readonly<Record<Fence, string>> = {
  centred: "centring jigs",
  "long-side": "fence on the long side",
  "short-side": "fence on the short side",
};

const WALLS = {
  wall: "one wall",
  "wall-turned": "one wall turned",
  "all-walls": "all walls",
  racking: "grid racked",
} as const;

/** Degrees to four decimals at most, no zeros after them: `67.5°`. */
const plainDegrees = (rad: number): string => `${Number(((rad * 180) / Math.PI).toFixed(4))}°`;

/** With its first letter a capital: for the head of a line. */
export const capitalised = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

const SCATTERS: Readonly<Record<ScatterId["of"], string>> = {
  angle: "angles from cut to cut",
  length: "lengths from cut to cut",
  lean: "leans from cut to cut",
  thickness: "thickness from piece to piece",
  wall: "the grid's walls",
};
