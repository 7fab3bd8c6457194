import type { Cell, Joint } from "./cell.js";

/** The two faces of the panel: the front lies towards the viewer, at z = +depth/2 from mid-depth, the back at z = −depth/2. */
export const PANEL_SIDES = ["front", "back"] as const;
/** A face of the panel: one of {@link PANEL_SIDES}. */
export type PanelSide = (typeof PANEL_SIDES)[number];

/** One end of a joint, where its gap is read. */
export interface Probe {
  /** Index of the joint in the cell. */
  readonly index: number;
  readonly joint: Joint;
  readonly at: "toe" | "heel";
  /** Only in a cell that has a depth. */
  readonly side?: PanelSide;
}

const known = new WeakMap<Cell, readonly Probe[]>();

/** The probes of a cell's joints in their order: toe and heel of each joint; in a cell with a depth those at the front, then those at the back. */
export function cellProbes(cell: Cell): readonly Probe[] {
  const before = known.get(cell);
  if (before) return before;
  const once = (more: { side?: PanelSide }): Probe[] =>
    cell.joints.flatMap((joint, index): Probe[] => [
      { index, joint, at: "toe", ...more },
      { index, joint, at: "heel", ...more },
    ]);
  const probes = cell.depth === undefined ? once({}) : PANEL_SIDES.flatMap((side) => once({ side }));
  known.set(cell, probes);
  return probes;
}

/** For each joint of a cell its probes, as indices into {@link cellProbes}. */
export const probesByJoint = (cell: Cell): number[][] =>
  cell.joints.map((_, index) => cellProbes(cell).flatMap((probe, i) => (probe.index === index ? [i] : [])));

/**
 * The probes that a gap may have been read at: of one joint or (`null`) any, at one of its ends or (else) either,
 * at one side of the panel or (left out) at both.
 */
export const probesAt = (
  cell: Cell,
  where: { readonly joint: string | null; readonly at: string | null; readonly side?: PanelSide | undefined },
): number[] => {
  const ends = where.at === "toe" || where.at === "heel";
  return cellProbes(cell).flatMap(({ joint, at, side }, i) =>
    (where.joint === null || joint.name === where.joint) &&
    (!ends || at === where.at) &&
    (where.side === undefined || side === where.side)
      ? [i]
      : [],
  );
};

/** Distance of a side of the panel from mid-depth, mm: towards the viewer +. 0 in a cell without a depth. */
export const sideDepth = ({ depth = 0 }: Pick<Cell, "depth">, side: PanelSide): number =>
  side === "front" ? depth / 2 : -depth / 2;

/** Distances from mid-depth at which a cell is read, mm: the front and the back where it has a depth, else mid-depth alone. */
export const readDepths = (cell: Pick<Cell, "depth">): readonly number[] =>
  cell.depth === undefined ? [0] : PANEL_SIDES.map((side) => sideDepth(cell, side));
