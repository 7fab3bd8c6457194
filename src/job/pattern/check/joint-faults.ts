import type { Arrangement } from "../../../lattice/arrangement.js";
import type { JobPath } from "../../file/job-source.js";
import { nearest } from "../../words.js";
import type { Pattern } from "../pattern.js";
import type { PatternFault } from "../pattern-fault.js";
import type { Edge } from "./edge.js";
import { fault } from "./fault.js";
import { meetingFault } from "./meeting-fault.js";

/** Listed joints that are none. */
export function jointFaults(
  pattern: Pattern,
  arrangement: Arrangement,
  edges: ReadonlyMap<string, Edge>,
): PatternFault[] {
  return pattern.joints.flatMap((name, i): PatternFault[] => {
    const path: JobPath = ["joints", i];
    if (pattern.joints.indexOf(name) < i)
      return [fault(path, `joint ${name}`, "it is listed twice", "each joint is listed once")];
    const sides = name.split("|");
    if (sides.length !== 2)
      return [
        fault(
          path,
          `joint ${name}`,
          "this is no joint",
          "a joint is two faces with a bar between: hinge-1.end-right|hinge-2.end-left",
        ),
      ];
    const missing = sides.find((side) => !edges.has(side));
    if (missing !== undefined) {
      const near = nearest(missing, [...edges.keys()]);
      const guess = near ? `did you mean ${near}? ` : "";
      return [
        fault(
          path,
          `joint ${name}`,
          `there is no face ${missing}`,
          `${guess}${guess ? "A" : "a"} face is a wall, or a piece and one of left, right, start-left, start-right, end-left, end-right`,
        ),
      ];
    }
    return meetingFault(path, name, edges.get(sides[0]!)!, edges.get(sides[1]!)!, arrangement.strip);
  });
}
