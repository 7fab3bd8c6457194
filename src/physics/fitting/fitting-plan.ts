import { isUserError, UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import type { Cell } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { type CellModel, cellModel, modelOf } from "../predict/cell-model.js";

/** Data needed to fit one group. */
export interface FittingStep {
  readonly group: FittingGroup;
  /** The cell in which the group is fitted: the walls, the pieces of earlier stages, its own, and templates. */
  readonly model: CellModel;
  /** For each error of that cell, its index in the error vector of the whole cell; −1 for a template, which has nominal size and no errors. */
  readonly from: Int32Array;
  /** Indices into the whole cell's error vector that a trim changes: the axial errors of the cuts at the trimmed end of each piece; the other end is its corner. */
  readonly trimmed: readonly number[];
  /** The corresponding indices into the error vector of the group's own cell. */
  readonly trimmedHere: readonly number[];
  /** Indices of the probes of that cell at which the press is read: both ends of each joint that a cut of the group makes. */
  readonly probes: readonly number[];
}

/**
 * The steps in which a cell's pieces are fitted by trial. While a group is fitted, the cell contains the pieces of earlier stages, as fitted, and the group's own. If a face that is
 * being trimmed bears on a piece of a later stage, a template of nominal size replaces that piece. No other pieces are present, not even the rest of the group's own stage, so no group has to wait
 * for another of its stage. If the pieces would not be held in this way, templates replace all missing pieces.
 *
 * @throws UserError (code "cell") when the cell has no order of fitting.
 */
export function fittingPlan(of: Cell | CellModel): readonly FittingStep[] {
  const whole = modelOf(of);
  const { cell } = whole;
  const groups = fittingGroups(cell);
  return groups.map((group) => stepOf(whole, groups, group));
}

function stepOf(model: CellModel, groups: readonly FittingGroup[], group: FittingGroup): FittingStep {
  const { cell } = model;
  const real = new Set([
    ...groups.flatMap(({ stage, pieces }) => (stage < group.stage ? pieces : [])),
    ...group.pieces,
  ]);
  const nameOf = (body: number): string => at(cell.pieces, body).name;
  const realNames = new Set([...real].map(nameOf));
  const here = heldModel(model, new Set([...real, ...templatesOf(cell, groups, group)]));
  const whole = errorLayout(cell);
  const own = errorLayout(here.cell);
  const isWall = (owner: string): boolean => cell.walls.some(({ name }) => name === owner);
  const cuts = group.pieces.flatMap((body) =>
    at(cell.pieces, body).cuts.flatMap(({ end, face }) =>
      end === 1 ? [["axial", nameOf(body), face] as const] : [],
    ),
  );
  const joints = new Set(group.joints.map((joint) => at(cell.joints, joint).name));
  return {
    group,
    model: here,
    from: Int32Array.from(own.entries, ({ kind, owner, face }) =>
      realNames.has(owner) || isWall(owner) ? whole.indexOf(kind, owner, face) : -1,
    ),
    trimmed: cuts.map((cut) => whole.indexOf(...cut)),
    trimmedHere: cuts.map((cut) => own.indexOf(...cut)),
    probes: here.cell.probes.flatMap(({ joint }, probe) => (joints.has(joint.name) ? [probe] : [])),
  };
}

/** Pieces of later stages on which an end cut of the group bears. */
function templatesOf(cell: Cell, groups: readonly FittingGroup[], group: FittingGroup): number[] {
  const later = new Set(groups.flatMap(({ stage, pieces }) => (stage > group.stage ? pieces : [])));
  const trimmed = (face: number): boolean => {
    const { body, cut } = at(cell.faces, face);
    return cut?.end === 1 && group.pieces.includes(body);
  };
  return cell.joints.flatMap(({ first, mate }) => {
    const other = trimmed(first) ? mate : trimmed(mate) ? first : -1;
    const body = other < 0 ? -1 : at(cell.faces, other).body;
    return later.has(body) ? [body] : [];
  });
}

/** The model of a cell with some of its pieces, or of the whole cell if those would not be held. */
function heldModel(whole: CellModel, bodies: ReadonlySet<number>): CellModel {
  const { cell } = whole;
  if (bodies.size === cell.pieces.length) return whole;
  try {
    return cellModel(withPieces(cell, bodies));
  } catch (error) {
    if (isUserError(error, "seating")) return whole;
    throw error;
  }
}

function withPieces(cell: Cell, bodies: ReadonlySet<number>): Cell {
  const { stages: _, unpressed, pins, ...rest } = cell;
  const there = (face: number): boolean => {
    const { body } = at(cell.faces, face);
    return body < 0 || bodies.has(body);
  };
  const joints = cell.joints.filter(({ first, mate }) => there(first) && there(mate));
  const pieces = cell.pieces.filter((_piece, body) => bodies.has(body));
  return compileCell({
    ...rest,
    pieces,
    jointCount: joints.length,
    unpressed: (unpressed ?? []).filter((name) => joints.some((joint) => joint.name === name)),
    pins: (pins ?? []).filter(({ piece }) => pieces.some(({ name }) => name === piece)),
  });
}

/** Pieces that are trimmed by the same amount until they just go in: a diagonal, the two hinges of one triangle, its key. */
export interface FittingGroup {
  /** `diagonal`, `hinge-1 and hinge-2`. */
  readonly name: string;
  /** Index of the pattern's stage it belongs to, from 0. */
  readonly stage: number;
  /** Indices of its pieces. */
  readonly pieces: readonly number[];
  /** Indices of the joints whose cut face is one of theirs. */
  readonly joints: readonly number[];
}

/**
 * The groups in which a pattern's pieces are fitted, in the order of its stages: pieces of one stage that have a joint with each other are fitted together.
 *
 * @throws UserError (code "cell") when the cell has no order of fitting: a bench.
 */
export function fittingGroups(cell: Cell): FittingGroup[] {
  const { stages, pieces, joints, faces } = cell;
  if (!stages || stages.length === 0)
    throw new UserError(
      "cell",
      `${cell.name} does not say in which order its pieces are put in, so none can be fitted by trial. Only a pattern's cell does.`,
    );
  const bodiesOf = (joint: number): readonly [number, number] => [
    at(faces, at(joints, joint).first).body,
    at(faces, at(joints, joint).mate).body,
  ];
  const all = joints.map((_, joint) => joint);
  return stages.flatMap((names, stage) =>
    together(
      names.map((name) => pieces.findIndex((piece) => piece.name === name)),
      all.map(bodiesOf),
    ).map((own) => ({
      name: own.map((body) => at(pieces, body).name).join(" and "),
      stage,
      pieces: own,
      joints: all.filter((joint) => own.includes(bodiesOf(joint)[0])),
    })),
  );
}

/** Splits bodies into connected components of the graph of their joints, in their order. */
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
