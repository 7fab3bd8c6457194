import { UserError } from "../../core/errors.js";
import { DEGREE } from "../../core/geometry.js";
import { at, present } from "../../core/numeric/dense.js";
import { formatLength, type LengthUnit, parseAngle, parseLength } from "../../core/quantity/index.js";
import { JobError } from "../../io/faults.js";
import { arrangePattern } from "../../io/patterns/arrange-pattern.js";
import { faultsInFile, patternFaults } from "../../io/patterns/check-pattern.js";
import { findPattern, shippedPattern, shippedPatterns } from "../../io/patterns/find-pattern.js";
import type { Pattern, PatternFault, PatternSizes } from "../../io/patterns/pattern.js";
import { patternShop } from "../../io/patterns/pattern-shop.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import type { Cell } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { cautionLines } from "../../render/cautions.js";
import { patternDrawing } from "../../render/cell/pattern-drawing.js";
import { chartSvg, requirePictureFile, writePicture } from "../../render/pictures.js";
import { textTable } from "../../render/text.js";

export interface PatternFlags {
  readonly size?: readonly string[];
  /** Default mm. */
  readonly units?: LengthUnit;
  readonly out?: string;
}

/** `sukima pattern [NAME|FILE]`: what there is; or one pattern checked, told and drawn. */
export async function patternCommand(
  name: string | undefined,
  { size = [], units = "mm", out }: PatternFlags,
): Promise<string> {
  if (name === undefined)
    return textTable(
      ["pattern", "is"],
      shippedPatterns().map((one) => [one, shippedPattern(one).about]),
    );
  if (out !== undefined) requirePictureFile(out);
  const pattern = findPattern(name);
  const given = Object.fromEntries(size.map((text) => sizeOf(pattern, text, units)));
  const faults = patternFaults(pattern, given, units);
  const drawn = await draw(pattern, given, faults, out);
  if (faults.length > 0) {
    if (drawn) process.stderr.write(`${drawn}\n\n`);
    throw new JobError(faultsInFile(pattern, faults, ...(drawn ? [""] : [])));
  }
  const { arrangement, sizes } = arrangePattern(pattern, given);
  return [patternText(pattern, sizes, compileCell(arrangement!), units), ...(drawn ? [drawn] : [])].join(
    "\n",
  );
}

const POSITIVE = ["opening", "strip"];

/** `height=45` or `height=1 3/4 in`. */
function sizeOf({ name, sizes }: Pattern, text: string, units: LengthUnit): [string, number] {
  const [key, value] = text.split("=").map((part) => part.trim());
  const size = sizes.find((one) => one.name === key);
  if (!size || value === undefined)
    throw new UserError(
      "usage",
      `There is no such size of ${name}: it has ${sizes.map((one) => one.name).join(", ")}; got “${text}”. Write for example --size "opening=${units === "mm" ? "60 mm" : "2 3/8 in"}"`,
    );
  const sign = POSITIVE.includes(size.name) ? "positive" : "any";
  if (size.is === "length") return [size.name, parseLength(value, { unit: units, what: size.name, sign })];
  if (size.is === "angle") return [size.name, parseAngle(value, { what: size.name })];
  const share = Number(value);
  if (value !== "" && Number.isFinite(share)) return [size.name, share];
  throw new UserError(
    "usage",
    `${size.name} is a share between 0 and 1; got “${value}”. Write for example --size ${size.name}=0.65`,
  );
}

async function draw(
  pattern: Pattern,
  given: Readonly<Record<string, number>>,
  faults: readonly PatternFault[],
  out: string | undefined,
): Promise<string | null> {
  if (out === undefined) return null;
  const { arrangement } = arrangePattern(pattern, given);
  if (arrangement === null) return `Nothing is drawn to ${out}: the pattern's expressions come to no cell.`;
  const spec = patternDrawing(arrangement, {
    title: pattern.title === "" ? pattern.name : pattern.title,
    notes: faults.slice(0, MOST_NOTES).map(({ sentence }, i) => `${i + 1}: ${sentence.split(";")[0]}.`),
    marks: faults.flatMap(({ marks }, i) => marks.map((at) => ({ at, label: String(i + 1) }))),
    width: faults.length > 0 ? 560 : 360,
  });
  await writePicture(await chartSvg(spec), out);
  return faults.length > 0 ? `Drawn, with the places ringed: ${out}` : `Drawn: ${out}`;
}
const MOST_NOTES = 12;

const degrees = (angle: number): string => `${Number((angle / DEGREE).toFixed(4))}°`;
/** Finer than any stop is set: a pattern's own lengths, to be compared with those worked out by hand. */
const fine = (mm: number, units: LengthUnit): string =>
  formatLength(mm, { unit: units, digits: units === "mm" ? 4 : 5 });

/** A pattern at certain sizes: what it is, its sizes, its pieces with their lengths and angles, and how it is put together. */
export function patternText(pattern: Pattern, sizes: PatternSizes, cell: Cell, units: LengthUnit): string {
  const { jigs, setUps } = patternShop(cell);
  const kinds = [...new Set(cell.pieces.map(({ kind }) => kind))];
  return [
    `${pattern.title} (${pattern.name}). ${pattern.about}`,
    "",
    textTable(
      ["size", "here", "what it is"],
      pattern.sizes.map(({ name, is, says }) => [name, sizeText(is, present(sizes[name]), units), says]),
      [1],
    ),
    "",
    textTable(
      ["kind", "pieces", "tip to tip", "cuts"],
      kinds.map((kind) => kindRow(cell, kind, units)),
      [1, 2],
    ),
    "",
    `Jigs: ${jigs.map(({ angle }) => degrees(angle)).join(", ")}, counted from a square cut; ${setUps.length} set-ups, ${setUps.filter(({ stopped }) => stopped).length} of them with a stop.`,
    `Put together: ${cell.stages!.map((stage) => stage.join(", ")).join("; then ")}.`,
    `It closes: ${cell.joints.length} joints meet, no piece lies over another, and all are held.`,
    "",
    ...cautionLines(),
  ].join("\n");
}

function sizeText(is: Pattern["sizes"][number]["is"], value: number, units: LengthUnit): string {
  if (is === "length") return fine(value, units);
  return is === "angle" ? degrees(value) : String(Number(value.toFixed(4)));
}

function kindRow({ pieces }: Arrangement, kind: string, units: LengthUnit): string[] {
  const own = pieces.filter((piece) => piece.kind === kind);
  const cuts = at(own, 0).cuts.map(({ face, jigAngle, role }) => `${face} ${degrees(jigAngle)} ${role}`);
  return [kind, String(own.length), fine(at(own, 0).length, units), cuts.join(", ")];
}
