import { extname } from "node:path";
import { UsageError } from "../../core/errors.js";
import { writeFile } from "../../core/files/write-files.js";
import { parseAngle, parseLength } from "../../core/quantity/index.js";
import { JobError } from "../../io/faults.js";
import { arrangePattern } from "../../io/patterns/arrange-pattern.js";
import { faultsInFile, patternFaults } from "../../io/patterns/check-pattern.js";
import { findPattern, shippedPattern, shippedPatterns } from "../../io/patterns/find-pattern.js";
import type { Pattern, PatternFault } from "../../io/patterns/pattern.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { patternDrawing } from "../../render/cell/pattern-drawing.js";
import { chartLabels } from "../../render/charts/chart-spec.js";
import { specToSvg, svgToPng } from "../../render/charts/draw-chart.js";
import { textTable } from "../../render/text.js";
import { patternText } from "./pattern-text.js";

export interface PatternFlags {
  readonly size?: readonly string[];
  readonly out?: string;
}

const PNG_WIDTH = 1080;

/** `sukima pattern [NAME|FILE]`: what there is; or one pattern checked, told and drawn. */
export async function patternCommand(
  name: string | undefined,
  { size = [], out }: PatternFlags,
): Promise<string> {
  if (name === undefined)
    return textTable(
      ["pattern", "is"],
      shippedPatterns().map((one) => [one, shippedPattern(one).about]),
    );
  const kind = extname(out ?? "").toLowerCase();
  if (out !== undefined && kind !== ".svg" && kind !== ".png")
    throw new UsageError(
      `--out names a file ending in .svg or .png; got “${out}”. Write for example --out drawing.svg`,
    );
  const pattern = findPattern(name);
  const given = Object.fromEntries(size.map((text) => sizeOf(pattern, text)));
  const faults = patternFaults(pattern, given);
  const drawn = await draw(pattern, given, faults, out);
  if (faults.length > 0) {
    if (drawn) process.stderr.write(`${drawn}\n\n`);
    throw new JobError(faultsInFile(pattern, faults, ...(drawn ? [""] : [])));
  }
  const { arrangement, sizes } = arrangePattern(pattern, given);
  return [patternText(pattern, sizes, compileCell(arrangement!)), ...(drawn ? [drawn] : [])].join("\n");
}

const POSITIVE = ["opening", "strip"];

/** `height=45` or `height=1 3/4 in`. */
function sizeOf({ name, sizes }: Pattern, text: string): [string, number] {
  const [key, value] = text.split("=").map((part) => part.trim());
  const size = sizes.find((one) => one.name === key);
  if (!size || value === undefined)
    throw new UsageError(
      `There is no such size of ${name}: it has ${sizes.map((one) => one.name).join(", ")}; got “${text}”. Write for example --size "opening=60 mm"`,
    );
  const sign = POSITIVE.includes(size.name) ? "positive" : "any";
  if (size.is === "length") return [size.name, parseLength(value, { unit: "mm", what: size.name, sign })];
  if (size.is === "angle") return [size.name, parseAngle(value, { what: size.name })];
  const share = Number(value);
  if (value !== "" && Number.isFinite(share)) return [size.name, share];
  throw new UsageError(
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
  const svg = await specToSvg(spec, chartLabels(spec));
  if (out.toLowerCase().endsWith(".png")) writeFile(out, await svgToPng(svg, { width: PNG_WIDTH }));
  else writeFile(out, svg);
  return faults.length > 0 ? `Drawn, with the places ringed: ${out}` : `Drawn: ${out}`;
}
const MOST_NOTES = 12;
