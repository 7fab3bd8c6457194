import type { ErrorId, ScatterId } from "../model/source-id.js";

/** The name of an error source for people: `ramp of point-45`, `move of the stop of key-end in round-2`. It is only ever printed. */
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

/** With its first letter a capital: for the head of a line. */
export const capitalised = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

const SCATTERS: Readonly<Record<ScatterId["of"], string>> = {
  angle: "angles from cut to cut",
  length: "lengths from cut to cut",
  lean: "leans from cut to cut",
  thickness: "thickness from piece to piece",
  wall: "the grid's walls",
};
