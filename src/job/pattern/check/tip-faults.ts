import { add, direction, scale } from "../../../geometry/vector.js";
import type { Arrangement, Cut } from "../../../lattice/arrangement.js";
import type { PatternFault } from "../pattern-fault.js";
import { TOUCHING } from "./edge.js";
import { fault, mm } from "./fault.js";

/** Kinds whose cuts do not meet where their length ends. */
export function tipFaults({ pieces, strip }: Arrangement): PatternFault[] {
  return [...new Set(pieces.map(({ kind }) => kind))].flatMap((kind) => {
    const own = pieces.filter((piece) => piece.kind === kind);
    return ([-1, 1] as const).flatMap((end): PatternFault[] => {
      const [a, b] = own[0]!.cuts.filter((cut) => cut.end === end);
      const tip = tipOf(a!, b!);
      const wrong = tip - own[0]!.length / 2;
      if (Math.abs(wrong) <= TOUCHING * strip) return [];
      const where = `${mm(Math.abs(wrong))} ${wrong > 0 ? "beyond" : "short of"} where its length ends`;
      return [
        fault(
          ["kinds", kind, "length"],
          `kind ${kind}`,
          `the tip at its ${end === -1 ? "start" : "end"}, where its two cuts meet, lies ${where}`,
          "the length is from tip to tip, along the axis",
          own.map(({ origin, axis }) => add(origin, scale(direction(axis), end * tip))),
        ),
      ];
    });
  });
}

/** How far from the origin along the axis the two cuts of an end meet, outwards. */
function tipOf(a: Cut, b: Cut): number {
  // Along cut a: x = reach_a − side·y·tan J_a, and likewise b, x counted outwards.
  const slopeA = a.side * Math.tan(a.jigAngle);
  const slopeB = b.side * Math.tan(b.jigAngle);
  if (slopeA === slopeB) return a.reach;
  const y = (a.reach - b.reach) / (slopeA - slopeB);
  return a.reach - y * slopeA;
}
