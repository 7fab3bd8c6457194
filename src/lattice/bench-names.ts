import type { Arrangement, Cut } from "./arrangement.js";
import { type BenchName, cornerName } from "./bench-named.js";

/** The benches on which a pattern's cuts can be tried: a corner for every point of two equal cuts, then those for single cuts and for several points. */
export function benchNames({ pieces }: Arrangement): BenchName[] {
  const cuts = pieces.flatMap((piece) => piece.cuts);
  const pairs = pieces.flatMap((piece) =>
    ([-1, 1] as const).flatMap((end): Cut[] => {
      const [a, b] = piece.cuts.filter((cut) => cut.end === end);
      return a && b && a.group === b.group ? [a] : [];
    }),
  );
  const points = [...pairs.filter(({ role }) => role === "point"), ...pairs];
  return [
    ...new Set(points.map(({ jigAngle }) => cornerName(jigAngle))),
    "straightedge",
    ...(cuts.some(({ role }) => role === "mitre") ? (["mitre-pair"] as const) : []),
    ...["reversal" as const, "ring" as const],
  ];
}
