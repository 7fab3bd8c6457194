import { readFileSync } from "node:fs";
import { join } from "node:path";

/** Files of a job whose pattern is the triangle within a triangle turned by 30°: none of its walls is level. */
export function leaningTriangles(): Record<string, string> {
  const file = join(import.meta.dirname, "../../../data/patterns/inner-triangle.yaml");
  const upright = readFileSync(file, "utf8");
  const leaning = upright
    .replace("pattern: inner-triangle", "pattern: leaning-triangle")
    .replace("b: point(opening, 0)", "b: point(opening * sqrt(3) / 2, opening / 2)")
    .replace("c: point(opening / 2, opening * sqrt(3) / 2)", "c: point(0, opening)");
  return {
    "leaning.yaml": leaning,
    "job.yaml": "pattern: leaning.yaml\nopening: 60\nstrip: 4\npanel: { rows: 2, columns: 3 }\n",
  };
}
