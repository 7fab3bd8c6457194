import { add, dot, scale, sub, type Vec } from "../../geometry/vector.js";
import type { Joint } from "../../lattice/cell.js";
import type { Edge } from "../../predict/cell-outline.js";
import type { JointState } from "../style.js";

/** What counts as closed and what as too wide, mm. */
export interface JointLimits {
  /** A gap wider than this is too wide. */
  readonly gapLimit: number;
  /** A gap up to this is closed, and so is a press. */
  readonly snugLimit: number;
}

/** A stretch of a joint in one state: the four corners of the band between its faces, two on the first face, two on its mate. */
export interface JointBand {
  readonly joint: string;
  readonly state: JointState;
  readonly corners: readonly [Vec, Vec, Vec, Vec];
}

/** The state of a face at a place with this gap (mm, positive = open). */
export function jointState(gap: number, { gapLimit, snugLimit }: JointLimits): JointState {
  if (gap < -snugLimit) return "pressed";
  if (gap <= snugLimit) return "closed";
  return gap <= gapLimit ? "open" : "wide";
}

/** A joint from toe to heel in stretches of one state; the gap runs straight from one end to the other. */
export function jointBands(
  joint: Pick<Joint, "name" | "toe" | "heel">,
  faces: { readonly first: Edge; readonly mate: Edge },
  gap: { readonly toe: number; readonly heel: number },
  limits: JointLimits,
): JointBand[] {
  const ends = facing(joint, faces);
  const fall = gap.heel - gap.toe;
  const crossings = [-limits.snugLimit, limits.snugLimit, limits.gapLimit]
    .map((limit) => (limit - gap.toe) / fall)
    .filter((share) => share > 0 && share < 1);
  const stops = [0, ...crossings.sort((a, b) => a - b), 1];
  return stops.slice(1).map((to, i): JointBand => {
    const from = stops[i]!;
    return {
      joint: joint.name,
      state: jointState(gap.toe + (fall * (from + to)) / 2, limits),
      corners: [ends.first(from), ends.first(to), ends.mate(to), ends.mate(from)],
    };
  });
}

/** Points on both faces by their share of the way from toe to heel, over the stretch where they lie side by side as drawn. */
function facing(
  { toe, heel }: Pick<Joint, "toe" | "heel">,
  { first, mate }: { readonly first: Edge; readonly mate: Edge },
): Record<"first" | "mate", (share: number) => Vec> {
  const along = scale(sub(heel, toe), 1 / Math.hypot(heel.x - toe.x, heel.y - toe.y));
  const spans = [first, mate].map(({ from, to }) => [dot(along, from), dot(along, to)].sort((a, b) => a - b));
  const low = Math.max(spans[0]![0]!, spans[1]![0]!);
  const high = Math.max(low, Math.min(spans[0]![1]!, spans[1]![1]!));
  const on = ({ from, to }: Edge) => {
    const start = dot(along, from);
    const run = dot(along, to) - start;
    return (share: number): Vec =>
      add(from, scale(sub(to, from), (low + share * (high - low) - start) / run));
  };
  return { first: on(first), mate: on(mate) };
}
