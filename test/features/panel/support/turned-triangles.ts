import { readFileSync } from "node:fs";
import { join } from "node:path";

const UPRIGHT = readFileSync(
  join(import.meta.dirname, "../../../../data/patterns/inner-triangle.yaml"),
  "utf8",
);

/** Files of a job whose pattern is the triangle within a triangle with its other two corners elsewhere. */
const moved = (b: string, c: string): Record<string, string> => ({
  "own.yaml": UPRIGHT.replace("pattern: inner-triangle", "pattern: own-triangle")
    .replace("b: point(opening, 0)", `b: point(${b})`)
    .replace("c: point(opening / 2, opening * sqrt(3) / 2)", `c: point(${c})`),
  "job.yaml": "pattern: own.yaml\nopening: 60\nstrip: 4\npanel: { rows: 2, columns: 3 }\n",
});

/** Turned by 30°: none of its walls is level. */
export const leaningTriangles = () => moved("opening * sqrt(3) / 2, opening / 2", "0, opening");

/** Turned by 180°: it stands on its point. */
export const hangingTriangles = () => moved("-opening, 0", "-opening / 2, -opening * sqrt(3) / 2");
