import { type Cell, type Joint, PANEL_SIDES, type PanelSide } from "../../model/cell/cell.js";
import type { CellPrediction } from "../../physics/predict/predict-cell.js";

type Places = readonly (readonly [test: (cell: Cell, joint: Joint) => boolean, name: string])[];

/** Joints that gap alike in a square asanoha with one cause, in words. */
const SQUARE_ASANOHA: Places = [
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

/** The same of any other pattern: joints whose cuts are made alike and whose mates are. */
function placesOf(cell: Cell): Places {
  if (cell.name === "asanoha-square") return SQUARE_ASANOHA;
  const names = [...new Set(cell.joints.map((joint) => placeName(cell, joint)))];
  return names.map((name) => [(own, joint) => placeName(own, joint) === name, name]);
}

function placeName({ faces, pieces }: Cell, { first, mate }: Joint): string {
  const cuts = `the cuts ${faces[first]!.cut?.group ?? faces[first]!.name}`;
  const { kind, cut, body } = faces[mate]!;
  if (kind === "wall") return `${cuts} on the walls`;
  if (cut === undefined) return `${cuts} on the side of ${pieces[body]!.kind}`;
  return cut.group === faces[first]!.cut?.group ? `${cuts} on each other` : `${cuts} on ${cut.group}`;
}

const groupOf = ({ faces }: Cell, { first }: Joint): string => faces[first]!.cut?.group ?? "";
const mateOf = ({ faces }: Cell, { mate }: Joint): string => faces[mate]!.kind;

export interface SignatureOptions {
  /** Gaps and presses up to this are not worth a word, mm. */
  readonly least: number;
  readonly length: (mm: number) => string;
}

/** What is seen of a cell, by kinds of joints: `Open: the heels of the hinge points along the walls (0.12 mm). Pressed: …`; where it has a depth at the front, then at the back. */
export function signatureText(
  cell: Cell,
  prediction: Pick<CellPrediction, "probes">,
  options: SignatureOptions,
): string {
  if (cell.depth === undefined) return seenText(cell, prediction, undefined, options);
  return PANEL_SIDES.map(
    (side) => `At the ${side}: ${lowered(seenText(cell, prediction, side, options))}`,
  ).join(" ");
}

const lowered = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);

function seenText(
  cell: Cell,
  { probes }: Pick<CellPrediction, "probes">,
  side: PanelSide | undefined,
  { least, length }: SignatureOptions,
): string {
  const said = (sign: 1 | -1): string[] =>
    placesOf(cell)
      .flatMap(([belongs, name]) => {
        const names = new Set(cell.joints.filter((joint) => belongs(cell, joint)).map((joint) => joint.name));
        const own = probes.filter((probe) => names.has(probe.joint) && probe.side === side);
        const most = (end: "toe" | "heel"): number =>
          Math.max(...own.filter(({ at }) => at === end).map(({ gap }) => sign * gap));
        return endsText(name, most("toe"), most("heel"), least, length);
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
