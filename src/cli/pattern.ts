import { extname } from "node:path";
import { chartLabels } from "../charts/chart-spec.js";
import { patternDrawing } from "../charts/pattern-drawing.js";
import { specToSvg } from "../charts/render/spec-to-svg.js";
import { svgToPng } from "../charts/render/svg-to-png.js";
import { writeFile } from "../files/write-file.js";
import { JobError } from "../job/job-error.js";
import { arrangePattern } from "../job/pattern/arrange-pattern.js";
import { findPattern } from "../job/pattern/find-pattern.js";
import type { Pattern } from "../job/pattern/pattern.js";
import type { PatternFault } from "../job/pattern/pattern-fault.js";
import { faultsInFile, patternFaults } from "../job/pattern/pattern-faults-in-file.js";
import { shippedPattern, shippedPatterns } from "../job/pattern/shipped-patterns.js";
import { compileCell } from "../lattice/compile-cell.js";
import { parseAngle, parseLength } from "../quantity/index.js";
import { patternText } from "../report/text/pattern-text.js";
import { textTable } from "../report/text/text-table.js";
import { UsageError } from "../core/errors.js";

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
