import { at } from "../../core/numeric/dense.js";
import type { Cell, Joint } from "../../model/cell/cell.js";
import { jointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";

/** Pieces that go in together, and what is closed when they are in. */
export interface AssemblyStep {
  /** From 1. */
  readonly number: number;
  /** Kinds of the pieces, in the pattern's order. */
  readonly kinds: readonly { readonly kind: string; readonly count: number; readonly length: number }[];
  /** Names of the pieces that go in, and of those that lie there. */
  readonly fresh: readonly string[];
  readonly before: readonly string[];
  /** Joints that close at this step, with the names that makers type. */
  readonly joints: readonly { readonly joint: Joint; readonly text: string }[];
}

/** The order in which a cell's pieces are fitted, by the stages of its pattern; lengths tip to tip, mm. */
export function fittingOrder(job: Job): AssemblyStep[] {
  const cell = jobCell(job);
  const stages = cell.stages ?? [cell.pieces.map(({ name }) => name)];
  const { short } = jointNames(cell);
  return stages.map((fresh, i) => {
    const before = stages.slice(0, i).flat();
    const lying = new Set([...before, ...fresh]);
    return {
      number: i + 1,
      fresh,
      before,
      kinds: kindsOf(cell, fresh),
      joints: cell.joints.flatMap((joint, j) => {
        const owners = ownersOf(cell, joint);
        const closes = owners.every((owner) => owner === null || lying.has(owner));
        const isNew = owners.some((owner) => owner !== null && fresh.includes(owner));
        return closes && isNew ? [{ joint, text: at(short, j) }] : [];
      }),
    };
  });
}

function kindsOf({ pieces }: Cell, names: readonly string[]): AssemblyStep["kinds"] {
  const own = pieces.filter(({ name }) => names.includes(name));
  return [...new Map(own.map((piece) => [piece.kind, piece])).values()].map(({ kind, length }) => ({
    kind,
    length,
    count: own.filter((piece) => piece.kind === kind).length,
  }));
}

/** The pieces on both sides of a joint; `null` for a wall. */
const ownersOf = (cell: Cell, { first, mate }: Joint): (string | null)[] =>
  [first, mate].map((face) => {
    const { body } = at(cell.faces, face);
    return body < 0 ? null : at(cell.pieces, body).name;
  });
