import { formatLength } from "../../core/quantity/index.js";
import type { Pattern, PatternSizes } from "../../io/patterns/pattern.js";
import { patternShop } from "../../io/patterns/pattern-shop.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import type { Cell } from "../../model/cell/cell.js";
import { CAUTIONS } from "../../render/cautions.js";
import { textTable } from "../../render/text.js";

const DEGREE = Math.PI / 180;
const degrees = (angle: number): string => `${Number((angle / DEGREE).toFixed(4))}°`;
const mm = (length: number): string => formatLength(length, { unit: "mm", digits: 4 });

/** A pattern at certain sizes: what it is, its sizes, its pieces with their lengths and angles, and how it is put together. */
export function patternText(pattern: Pattern, sizes: PatternSizes, cell: Cell): string {
  const { jigs, setUps } = patternShop(cell);
  const kinds = [...new Set(cell.pieces.map(({ kind }) => kind))];
  return [
    `${pattern.title} (${pattern.name}). ${pattern.about}`,
    "",
    textTable(
      ["size", "here", "what it is"],
      pattern.sizes.map(({ name, is, says }) => [name, sizeText(is, sizes[name]!), says]),
      [1],
    ),
    "",
    textTable(
      ["kind", "pieces", "tip to tip", "cuts"],
      kinds.map((kind) => kindRow(cell, kind)),
      [1, 2],
    ),
    "",
    `Jigs: ${jigs.map(({ angle }) => degrees(angle)).join(", ")}, counted from a square cut; ${setUps.length} set-ups, ${setUps.filter(({ stopped }) => stopped).length} of them with a stop.`,
    `Put together: ${cell.stages!.map((stage) => stage.join(", ")).join("; then ")}.`,
    `It closes: ${cell.joints.length} joints meet, no piece lies over another, and all are held.`,
    "",
    ...CAUTIONS.map((caution) => `! ${caution}`),
  ].join("\n");
}

function sizeText(is: Pattern["sizes"][number]["is"], value: number): string {
  if (is === "length") return mm(value);
  return is === "angle" ? degrees(value) : String(Number(value.toFixed(4)));
}

function kindRow({ pieces }: Arrangement, kind: string): string[] {
  const own = pieces.filter((piece) => piece.kind === kind);
  const cuts = own[0]!.cuts.map(({ face, jigAngle, role }) => `${face} ${degrees(jigAngle)} ${role}`);
  return [kind, String(own.length), mm(own[0]!.length), cuts.join(", ")];
}
