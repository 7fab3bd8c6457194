import type { Cut, CutFace, CutRole } from "./arrangement.js";

interface CutOptions {
  readonly jigAngle: number;
  readonly reach: number;
  readonly role: CutRole;
  readonly group: string;
}

/** One cut, from the face it makes. */
export function cut(face: CutFace, options: CutOptions): Cut {
  return {
    face,
    end: face.startsWith("start") ? -1 : 1,
    side: face.endsWith("left") ? 1 : -1,
    ...options,
  };
}

/** The two equal cuts of a point that is centred on the axis. */
export function pointCuts(end: "start" | "end", options: Omit<CutOptions, "role">): [Cut, Cut] {
  const both = { ...options, role: "point" } as const;
  return [cut(`${end}-left`, both), cut(`${end}-right`, both)];
}
