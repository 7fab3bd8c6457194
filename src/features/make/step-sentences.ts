import { openingShape } from "../../model/cell/opening-shape.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import { pieceLength, smallLength } from "../../render/shop-numbers.js";
import { diagonalDifference, gridShape } from "../panel/index.js";
import type { AssemblyStep } from "./fitting-order.js";
import { smaller } from "./jig-plan.js";
import { accuracyText } from "./jig-sizes.js";
import type { NeededAccuracy } from "./needed-accuracy.js";

/** `2 × key` of each kind that goes in. */
export const kindsText = ({ kinds }: AssemblyStep): string =>
  kinds.map(({ kind, count }) => `${count} × ${kind}`).join(", ");

/** What a step is called: `Step 2 of a cell: 4 × hinge`. */
export const stepTitle = (step: AssemblyStep): string => `Step ${step.number} of a cell: ${kindsText(step)}`;

/** What to do and to check at a step. */
export function stepChecks(step: AssemblyStep, job: Job): string[] {
  const { units, limits, lengths } = job;
  const gap = smallLength(limits.gap, units);
  const read = step.joints.map(({ text }) => text);
  const sizes = step.kinds.map(({ kind, length }) => `${kind} ${pieceLength(length, units)}`).join(", ");
  return [
    `Put in ${kindsText(step)} dry (tip to tip: ${sizes}).`,
    `${read.length} joints close here: ${read.join("; ")}. A leaf of ${gap} must not go into any of them.`,
    lengths === "fitted"
      ? "Shorten each piece by trial until it just goes in. Trim the end that is easier to cut again, and never a mitre without its mate."
      : `Each piece goes in by hand. One that has to be forced presses the others by more than ${smallLength(limits.snug, units)}: take it out and measure it before the next goes in.`,
    "Where a leaf goes in, write down which joint and which leaf; sukima explain says what opened it.",
  ];
}

/** What to check at the grid before any piece goes in. */
export function gridChecks(job: Job, needed: NeededAccuracy): string[] {
  const { units, arrangement } = job;
  const cell = jobCell(job);
  const shape = openingShape(arrangement.walls);
  const size = (mm: number): string => pieceLength(mm, units);
  const small = (mm: number): string => smallLength(mm, units);
  const each = cell.walls.map(({ name, halfLength }) => ({ name, side: size(2 * halfLength) }));
  const alike = new Set(each.map(({ side }) => side)).size === 1;
  const sides = alike
    ? `every clear side is ${each[0]?.side}`
    : `its clear sides are ${each.map(({ name, side }) => `${name} ${side}`).join(", ")}`;
  const racking = smaller(needed.racking);
  const outer = job.panel === null || shape === null ? null : gridShape(job);
  const square = (width: number, height: number, what: string): string[] =>
    racking === null || shape?.kind !== "upright"
      ? []
      : [
          `Measure both diagonals of ${what}: they should differ by no more than ${small(diagonalDifference(width, height, racking))}. By itself that uses half of a limit.`,
        ];
  return [
    `Put the grid together dry. Measure every opening: ${sides}.`,
    `An opening may be ${accuracyText(needed.opening, ["larger", "smaller"], small)} by itself before that uses half of a limit.`,
    ...(shape?.kind === "upright" && outer === null ? square(shape.width, shape.height, "a cell") : []),
    ...(outer?.kind === "upright"
      ? square(outer.across.clear, outer.down.clear, "the grid inside its border")
      : []),
    ...(shape?.kind === "triangular"
      ? [
          "Triangles hold each other: there are no diagonals to compare. Measure all three sides of a triangle at each corner of the panel.",
        ]
      : []),
    "Crossings lie flush on both sides; a strip that stands proud shows that a lap is too shallow.",
    ...(outer === null
      ? []
      : [`Outer size ${size(outer.width)} by ${size(outer.height)}${frameText(job, outer)}.`]),
    "Glue the grid only when the openings are right, and let the glue set before pieces go in: they are fitted to what the grid is then.",
  ];
}

function frameText(
  { panel, units }: Job,
  { width, height }: { readonly width: number; readonly height: number },
): string {
  const frame = panel?.frame;
  if (frame === null || frame === undefined) return "";
  const play = [frame.width - width, frame.height - height].map((mm) => smallLength(mm, units));
  return `; in its frame of ${pieceLength(frame.width, units)} by ${pieceLength(frame.height, units)} that leaves ${play.join(" and ")} of play`;
}

/** Plain advice; none of it has a source. */
export const FINISHING: readonly string[] = [
  "Sand or plane the faces of strips before they are cut to length: sanding a finished joint rounds its edges and opens it.",
  "Fit a whole cell dry before any glue. Take the pieces out in the reverse order, and keep them in the order in which they lay.",
  "Use little glue: a dot on one face of each joint, none near the edge that shows. Wipe off at once what comes out, with a damp cloth and then a dry one.",
  "Glue that contains water swells thin strips; wait until they are dry before you judge a gap.",
  "Glue the pieces in the order in which they were fitted. The last piece of a cell often holds without glue.",
  "Lay the panel on a flat board between two sheets of paper that glue does not stick to, with a light weight on it, until the glue has set.",
  "Sand the assembled panel only with a flat block and fine paper, with the grain of the pieces, and as little as will do. Wear a dust mask.",
  "Try finish on an offcut: it makes end grain dark, and a film closes no gap.",
];

export const FINISHING_MARK = "Common practice, no source.";
