import type { Cell, Joint } from "../../lattice/cell.js";
import type { CellPrediction } from "../../predict/predict-cell.js";

/** Joints that gap alike in a cell with one cause, in words. */
const PLACES: readonly (readonly [test: (cell: Cell, joint: Joint) => boolean, name: string])[] = [
  [(cell, joint) => groupOf(cell, joint).startsWith("diagonal."), "the diagonal's ends in their corners"],
  [
    (cell, joint) => groupOf(cell, joint) === "hinge.point" && mateOf(cell, joint) === "wall",
    "the hinge points along the walls",
  ],
  [(cell, joint) => groupOf(cell, joint) === "hinge.point", "the hinge points along the diagonal"],
  [(cell, joint) => groupOf(cell, joint) === "hinge.mitre", "the mitres between hinges"],
  [(cell, joint) => groupOf(cell, joint) === "key.start", "the keys in their corners"],
  [(cell, joint) => groupOf(cell, joint) === "key.end", "the keys in their seats"],
];

const groupOf = ({ faces }: Cell, { first }: Joint): string => faces[first]!.cut?.group ?? "";
const mateOf = ({ faces }: Cell, { mate }: Joint): string => faces[mate]!.kind;

export interface SignatureOptions {
  /** Gaps and presses up to this are not worth a word, mm. */
  readonly least: number;
  readonly length: (mm: number) => string;
}

/** What is seen of a cell, by kinds of joints: `Open: the heels of the hinge points along the walls (0.12 mm). Pressed: …`. */
export function signatureText(
  cell: Cell,
  { probes }: Pick<CellPrediction, "probes">,
  { least, length }: SignatureOptions,
): string {
  const said = (sign: 1 | -1): string[] =>
    PLACES.flatMap(([belongs, name]) => {
      const own = cell.joints.flatMap((joint, j) => (belongs(cell, joint) ? [j] : []));
      const most = (end: 0 | 1): number => Math.max(...own.map((j) => sign * probes[2 * j + end]!.gap));
      return endsText(name, most(0), most(1), least, length);
    })
      .sort((a, b) => b.size - a.size)
      .map(({ text }) => text);
  const [open, pressed] = [said(1), said(-1)];
  return [
    open.length > 0 ? `Open: ${open.join("; ")}.` : `No gap over ${length(least)}.`,
    pressed.length > 0 ? `Pressed: ${pressed.join("; ")}.` : `Nothing pressed over ${length(least)}.`,
  ].join(" ");
}

/** One end counts when it has at least half of the other's. */
const ALSO = 0.5;

function endsText(
  name: string,
  toe: number,
  heel: number,
  least: number,
  length: (mm: number) => string,
): { text: string; size: number }[] {
  const size = Math.max(toe, heel);
  if (size <= least) return [];
  const both = Math.min(toe, heel) >= ALSO * size;
  const where = both ? name : `the ${toe > heel ? "toes" : "heels"} of ${name}`;
  return [{ size, text: `${where} (${length(size)})` }];
}
