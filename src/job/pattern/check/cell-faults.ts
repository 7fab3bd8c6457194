import type { Arrangement } from "../../../lattice/arrangement.js";
import { compileCell } from "../../../lattice/compile-cell.js";
import { cellModel } from "../../../predict/cell-model.js";
import { SeatingError } from "../../../seating/seating-model.js";
import type { Pattern } from "../pattern.js";
import type { PatternFault } from "../pattern-fault.js";
import { fault } from "./fault.js";

/** What is left to go wrong when every listed joint meets: joints that are not listed, pieces that nothing holds. */
export function cellFaults(pattern: Pattern, arrangement: Arrangement): PatternFault[] {
  const cell = compileCell({ ...arrangement, jointCount: null });
  const found = cell.joints.map(({ name }) => name);
  const faults = cell.joints.flatMap(({ name, toe, heel }): PatternFault[] => {
    if (pattern.joints.includes(name)) return [];
    const other = name.split("|").reverse().join("|");
    const at = pattern.joints.indexOf(other);
    if (at >= 0)
      return [
        fault(
          ["joints", at],
          `joint ${other}`,
          "it is written the other way round",
          `the face that is cut comes first, a point before a mitre before a seat, of two alike the earlier piece: ${name}`,
        ),
      ];
    return [
      fault(["joints"], "joints", `${name} is not listed`, "every two faces that touch are a joint", [
        toe,
        heel,
      ]),
    ];
  });
  for (const [i, name] of pattern.joints.entries())
    if (!found.includes(name) && !found.includes(name.split("|").reverse().join("|")))
      faults.push(
        fault(
          ["joints", i],
          `joint ${name}`,
          "no such joint is found",
          "the two faces of a joint lie on one line and on each other",
        ),
      );
  if (faults.length > 0) return faults;
  try {
    cellModel(cell);
  } catch (error) {
    if (!(error instanceof SeatingError)) throw error;
    const loose = cell.pieces.find(({ name }) => error.message.startsWith(`${name} `));
    const problem = "nothing holds it: it can slide or turn without any joint opening or closing";
    return [
      fault(
        ["pieces", loose?.name ?? ""],
        loose ? `piece ${loose.name}` : "pattern",
        problem,
        "give it faces that bear on walls or on other pieces in every direction",
        loose ? [loose.origin] : [],
      ),
    ];
  }
  return [];
}
