import { faceSegments } from "../../../geometry/face-segments.js";
import type { Arrangement, Cut } from "../../../lattice/arrangement.js";
import type { Face } from "../../../lattice/cell.js";
import { facePlane } from "../../../lattice/piece-faces.js";
import type { JobPath } from "../../file/job-source.js";
import type { Pattern } from "../pattern.js";
import type { PatternFault } from "../pattern-fault.js";
import type { Edge } from "./edge.js";
import { fault } from "./fault.js";

/** Faces of one piece that its other faces cut away; the others are entered among the edges. */
export function pieceFaults(
  pattern: Pattern,
  { pieces }: Arrangement,
  body: number,
  own: readonly Face[],
  edges: Map<string, Edge>,
): PatternFault[] {
  const piece = pieces[body]!;
  const faults: PatternFault[] = [];
  for (const [i, segment] of faceSegments(own.map(facePlane)).entries()) {
    const face = own[i]!;
    if (segment !== null && Number.isFinite(segment.length)) edges.set(face.name, { face, segment });
    else
      faults.push(
        fault(
          face.cut ? cutPath(pattern, piece, face.cut) : ["pieces", piece.name],
          `face ${face.name}`,
          "nothing is left of it: the other faces of the piece cut it away",
          "look at its angle and at where the cuts cross the axis",
          [piece.origin],
        ),
      );
  }
  return faults;
}

/** Key of a piece's cut in the pattern file. */
function cutPath(pattern: Pattern, { kind, name }: { kind: string; name: string }, cut: Cut): JobPath {
  const mirrored = pattern.pieces.find((piece) => piece.name === name)?.mirrored;
  const swapped = cut.face.endsWith("left")
    ? cut.face.replace("left", "right")
    : cut.face.replace("right", "left");
  const made = pattern.kinds
    .find((one) => one.name === kind)
    ?.cuts.find(({ face }) => face === (mirrored ? swapped : cut.face));
  return ["kinds", kind, "cuts", made?.key ?? cut.face];
}
