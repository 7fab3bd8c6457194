import type { Cell } from "./cell.js";
import { LatticeError } from "./lattice-error.js";

/** Pieces that are trimmed alike until they just go in: a diagonal, the two hinges of one triangle, its key. */
export interface FittingGroup {
  /** `diagonal`, `hinge-1 and hinge-2`. */
  readonly name: string;
  /** Which of the pattern's stages it belongs to, from 0. */
  readonly stage: number;
  /** Indices of its pieces. */
  readonly pieces: readonly number[];
  /** Indices of the joints whose cut face is one of theirs. */
  readonly joints: readonly number[];
}

/**
 * The groups in which a pattern's pieces are fitted, in the order of its stages: pieces of one stage that have a joint with each other are fitted together.
 *
 * @throws LatticeError when the cell has no order of fitting: a bench.
 */
export function fittingGroups(cell: Cell): FittingGroup[] {
  const { stages, pieces, joints, faces } = cell;
  if (!stages || stages.length === 0)
    throw new LatticeError(
      `${cell.name} does not say in which order its pieces are put in, so none can be fitted by trial. Only a pattern's cell does.`,
    );
  const bodiesOf = (joint: number): readonly [number, number] => [
    faces[joints[joint]!.first]!.body,
    faces[joints[joint]!.mate]!.body,
  ];
  const all = joints.map((_, joint) => joint);
  return stages.flatMap((names, stage) =>
    together(
      names.map((name) => pieces.findIndex((piece) => piece.name === name)),
      all.map(bodiesOf),
    ).map((own) => ({
      name: own.map((body) => pieces[body]!.name).join(" and "),
      stage,
      pieces: own,
      joints: all.filter((joint) => own.includes(bodiesOf(joint)[0])),
    })),
  );
}

/** Splits bodies into those that hang together by joints among themselves, in their order. */
function together(bodies: readonly number[], links: readonly (readonly [number, number])[]): number[][] {
  const left = new Set(bodies);
  return bodies.flatMap((body) => {
    if (!left.delete(body)) return [];
    const group = [body];
    for (const one of group) {
      for (const [a, b] of links) {
        const other = a === one ? b : b === one ? a : -1;
        if (left.delete(other)) group.push(other);
      }
    }
    return [group.sort((a, b) => a - b)];
  });
}
