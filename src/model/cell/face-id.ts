import type { CutFace } from "./arrangement.js";

/** A face: a cut, a side or the pin of a piece, or the only face of a wall (or of a pin's fixed half). */
export interface FaceId {
  /** The piece or the wall. */
  readonly owner: string;
  /** Left out for a wall. */
  readonly face?: CutFace | "left" | "right" | "pin" | undefined;
}

const OF = ".";
const MEETS = "|";

/** A face as makers write it: `hinge-1.end-left`, `wall-top`. */
export const faceName = ({ owner, face }: FaceId): string =>
  face === undefined ? owner : `${owner}${OF}${face}`;

/** The written name of the joint of two faces, from the faces' written names: `hinge-1.end-left|key-1.end-right`. */
export const jointOf = (first: string, mate: string): string => `${first}${MEETS}${mate}`;

/** The written names of the faces in a joint's name; fewer or more than two when the text does not name a joint. */
export const facesNamed = (joint: string): string[] => joint.split(MEETS);

/** The piece or wall that the written name of a face begins with: `hinge-1` of `hinge-1.end-left`. */
export const ownerNamed = (face: string): string => face.split(OF, 1)[0] ?? face;

/** The written name of a face without its piece: `end-left` of `hinge-1.end-left`, and of `end-left` itself. */
export const faceAlone = (face: string): string => face.slice(face.lastIndexOf(OF) + 1);

/** The written name of a joint with its faces the other way round. */
export const turnedJoint = (joint: string): string => facesNamed(joint).reverse().join(MEETS);

/** The name of a joint for printed text, with another word between its faces. */
export const jointText = (joint: string, between: string): string => facesNamed(joint).join(between);

/** Every run of a joint's written name that begins and ends at a point or a bar: `point.start-left|line` has `start-left`. */
export function runsOfJoint(joint: string): string[] {
  const marks = [-1, ...[...joint.matchAll(/[.|]/g)].map(({ index }) => index), joint.length];
  return marks.flatMap((from, i) => marks.slice(i + 1).map((to) => joint.slice(from + 1, to)));
}
