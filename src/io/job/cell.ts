import { basename, dirname, extname, resolve } from "node:path";
import { isUserError } from "../../core/errors.js";
import { at, present } from "../../core/numeric/dense.js";
import { formatLength, type LengthUnit } from "../../core/quantity/index.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { CLOSING_SEAT_SHARE } from "../../model/cell/asanoha-square.js";
import type { Order } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import type { Job } from "../../model/job/job.js";
import { PRESS_RATIO } from "../../physics/seating/seating-model.js";
import { sentenceIn } from "../example-units.js";
import { faultSentence, JobError, Unfit, unknownWord } from "../faults.js";
import { inJobFolder } from "../files.js";
import { type ArrangedPattern, arrangePattern } from "../patterns/arrange-pattern.js";
import { faultsInFile, patternFaults } from "../patterns/check-pattern.js";
import { shippedPattern, shippedPatterns } from "../patterns/find-pattern.js";
import type { Pattern, PatternFault, PatternSize } from "../patterns/pattern.js";
import { readPattern } from "../patterns/read-pattern.js";
import { angle, leaf, length, number, text, word } from "../yaml/fields.js";
import { INCHES, type KeyPath, type YamlSource } from "../yaml/yaml-source.js";
import { CELL_LIMITS } from "./limits.js";

type CellKeys = Pick<
  Job,
  | "title"
  | "units"
  | "pattern"
  | "opening"
  | "strip"
  | "depth"
  | "seatShare"
  | "patternSizes"
  | "arrangement"
  | "order"
  | "pressRatio"
>;

/** The keys that define the cell. Their faults are noted in the source, and the values are kept. */
interface ReadCell {
  readonly keys: CellKeys;
  /** Gives the names of its parts; its sizes are stand-ins if those of the file cannot be used. */
  readonly arrangement: Arrangement;
}

/** A strip of this share of the opening fits any opening. */
const SAFE_STRIP = 1 / 20;
/** Stand-in for a size that cannot be used, mm; the job is refused in the end. */
const STAND_IN = 60;

export function readCellKeys(source: YamlSource): ReadCell {
  const units = source.take(["units"], unitsShape) ?? "mm";
  const shapes = cellShapes(units);
  const title = source.take(["title"], shapes.title) ?? (source.isFile ? titleFrom(source.file) : "Untitled");
  const pattern = readPatternKey(source);
  const opening = source.take(["opening"], shapes.opening);
  const strip = source.take(["strip"], shapes.strip);
  const depth = source.take(["depth"], shapes.depth);
  const seatShare = source.take([SEAT_SHARE], shapes[SEAT_SHARE]);
  const given = {
    opening: opening ?? STAND_IN,
    strip: strip ?? (opening ?? STAND_IN) * SAFE_STRIP,
    ...(seatShare === undefined ? {} : { [SEAT_SHARE]: seatShare }),
    ...readPatternSizes(source, units, pattern),
  };
  const known = pattern ?? shippedPattern(at(shippedPatterns(), 0));
  const arranged = arrangePattern(known, given);
  if (pattern && opening && strip) requireSuitable(source, pattern, arranged, given);
  // A stand-in serves only for its names.
  const arrangement = arranged.arrangement ?? present(arrangePattern(known).arrangement);
  const keys: CellKeys = {
    title,
    units,
    pattern: known.name,
    patternSizes: arranged.sizes,
    arrangement,
    opening: given.opening,
    strip: given.strip,
    ...(depth === undefined ? {} : { depth }),
    seatShare: arranged.sizes[SEAT_SHARE] ?? CLOSING_SEAT_SHARE,
    order: source.take(["order"], shapes.order) ?? "exact",
    pressRatio: source.take(["press-ratio"], shapes["press-ratio"]) ?? 1,
  };
  return { keys, arrangement };
}

function requireSuitable(
  source: YamlSource,
  pattern: Pattern,
  { arrangement, sizes }: ArrangedPattern,
  given: GivenSizes,
): void {
  const refuse = (sentence: string): void => {
    const { path, example } = sizeToChange(source, pattern, given);
    source.refuse(path, sentenceIn(sentence, source.units), { example });
  };
  try {
    if (arrangement) compileCell(arrangement);
    else refuse(unsuitable(pattern, sizes));
  } catch (error) {
    if (!isUserError(error, "cell")) throw error;
    const plain = pattern.shipped && source.at(["sizes"]) === undefined;
    refuse(plain ? error.message : unsuitable(pattern, sizes));
  }
}

type GivenSizes = Readonly<Record<string, number>> & { readonly opening: number };

/** A size that makes the cell valid when changed, and a valid value for it: the strip, another size in proportion to the opening, or the opening itself. */
function sizeToChange(
  source: YamlSource,
  pattern: Pattern,
  given: GivenSizes,
): { readonly path: KeyPath; readonly example: string } {
  const { sizes: usual } = arrangePattern(pattern);
  const scale = given.opening / (usual.opening ?? STAND_IN);
  const lengthText = (mm: number): string => formatLength(mm, { unit: "mm" });
  const own = pattern.sizes.filter(({ name }) => source.at(["sizes", name]) !== undefined);
  const strip = { path: ["strip"], example: `strip: ${lengthText(given.opening * SAFE_STRIP)}` };
  const changes = [
    { ...strip, change: { strip: given.opening * SAFE_STRIP } },
    ...own
      .filter(({ is }) => is === "length")
      .map(({ name }) => {
        const mm = (usual[name] ?? 0) * scale;
        return { path: ["sizes", name], example: `${name}: ${lengthText(mm)}`, change: { [name]: mm } };
      }),
    ...(usual.opening === undefined
      ? []
      : [
          {
            path: ["opening"],
            example: `opening: ${lengthText(usual.opening)}`,
            change: { opening: usual.opening },
          },
        ]),
  ];
  return changes.find(({ change }) => suits(pattern, { ...given, ...change })) ?? strip;
}

function suits(pattern: Pattern, sizes: GivenSizes): boolean {
  const { arrangement } = arrangePattern(pattern, sizes);
  if (arrangement === null) return false;
  try {
    compileCell(arrangement);
    return true;
  } catch (error) {
    if (!isUserError(error, "cell")) throw error;
    return false;
  }
}

function unsuitable(pattern: Pattern, sizes: ArrangedPattern["sizes"]): string {
  const [first] = patternFaults(pattern, sizes);
  return `The sizes do not suit the pattern ${pattern.name}; it closes at its usual ones. ${first?.sentence ?? ""}`.trim();
}

/** A job without a title is named after its folder, or after its file if the file is not called `job`. */
function titleFrom(file: string): string {
  const stem = basename(file, extname(file));
  return stem === "job" ? basename(dirname(resolve(file))) : stem;
}

const OWN_FILE = /\.ya?ml$/i;

/** The pattern that a job names: one of this project's, or a file in the job's folder. `null` after noting a fault. */
function readPatternKey(source: YamlSource): Pattern | null {
  const name = source.take(["pattern"], patternKey);
  if (name === undefined) return null;
  if (!OWN_FILE.test(name)) return shippedPattern(name);
  try {
    const file = inJobFolder(source.file, name);
    if (file === null) {
      source.refuse(["pattern"], faultSentence({ what: "pattern", ...OUTSIDE, value: name }));
      return null;
    }
    const pattern = readPattern(file);
    const faults = [...patternFaults(pattern), ...takenName(pattern)];
    if (faults.length === 0) return pattern;
    source.adopt(faultsInFile(pattern, faults));
  } catch (error) {
    if (!(error instanceof JobError)) throw error;
    const [first] = error.faults;
    if (first!.line > 0) source.adopt(error.faults);
    else {
      const problem = "its file cannot be read";
      const rule = first!.sentence.replace(/\.$/, "").replace(/^[A-Z]/, (letter) => letter.toLowerCase());
      source.refuse(["pattern"], faultSentence({ what: "pattern", problem, rule, value: name }));
    }
  }
  return null;
}

const OUTSIDE = {
  problem: "it leads outside the job's folder",
  rule: "a pattern of your own lies in the job's folder, and is named by its path in that folder",
};

/** A pattern of the user's own may not have the name of one of the project's patterns, which records and texts use. */
function takenName({ name }: Pattern): PatternFault[] {
  if (!shippedPatterns().includes(name)) return [];
  const problem = "a pattern of this project has this name";
  const rule = "give your own another name";
  const sentence = faultSentence({ what: "pattern", problem, rule, value: name });
  return [{ path: ["pattern"], sentence, example: `pattern: my-${name}`, marks: [] }];
}

const patternKey = leaf("pattern", (input) => {
  const name = String(input);
  if (OWN_FILE.test(name)) return name;
  const known = shippedPatterns();
  if (known.includes(name)) return name;
  const [problem, rule] = unknownWord(name, "pattern", known);
  throw new Unfit(problem, `${rule}, or a file of your own such as my-pattern.yaml`);
});

/** Keys of their own in the job file. */
const OWN_KEYS = ["opening", "strip", "seat-share"];
const SEAT_SHARE = "seat-share";

/** The sizes that the file gives under `sizes`, by name: mm, rad or dimensionless. */
function readPatternSizes(
  source: YamlSource,
  unit: LengthUnit,
  pattern: Pattern | null,
): Record<string, number> {
  const given = source.entries(["sizes"], "sizes");
  if (pattern === null) return {};
  if (source.at([SEAT_SHARE]) !== undefined && !pattern.sizes.some(({ name }) => name === SEAT_SHARE))
    source.refuseKey(
      [SEAT_SHARE],
      faultSentence({
        what: SEAT_SHARE,
        problem: `${pattern.name} has no such size`,
        rule: "it is for patterns whose seat takes a share of the strip, so leave it out",
      }),
      "the line left out",
    );
  const more = pattern.sizes.filter(({ name }) => !OWN_KEYS.includes(name));
  return Object.fromEntries(
    given.flatMap(([name, path]): [string, number][] => {
      const size = more.find((one) => one.name === name);
      if (size === undefined) {
        const names = more.map((one) => one.name);
        const [problem, rule] =
          names.length === 0
            ? [
                `${pattern.name} has no sizes but its own keys`,
                `they are ${OWN_KEYS.slice(0, 2).join(" and ")}`,
              ]
            : unknownWord(name, `size of ${pattern.name}`, names);
        const example = names.length === 0 ? "the line left out" : `${names[0]}: 45 mm`;
        source.refuseKey(path, faultSentence({ what: "sizes", problem, rule, value: name }), example);
        return [];
      }
      const value = source.take(path, shapeOf(size, unit), { example: `${name}: ${EXAMPLES[size.is]}` });
      return value === undefined ? [] : [[name, value]];
    }),
  );
}

const EXAMPLES = { length: "45 mm", angle: "30 deg", share: "0.5" } as const;

function shapeOf({ name, is }: PatternSize, unit: LengthUnit) {
  if (is === "length") return length(name, unit, "any", CELL_LIMITS.size);
  if (is === "angle") return angle(name, "any");
  return number(name, (share) => share > 0 && share < 1, "it is a share between 0 and 1");
}

const ORDERS: readonly Order[] = ["first", "exact"];
const STIFFEST = 1e9;

const unitsShape = leaf("units", (input): LengthUnit => {
  const typed = String(input);
  if (INCHES.includes(typed)) return "in";
  if (typed === "mm" || /^milli(?:metre|meter)s?$/.test(typed)) return "mm";
  throw new Unfit("there is no such unit", "it must be mm or in");
}).default("mm");

/** The keys that define the cell and how it is predicted. */
export const cellShapes = (unit: LengthUnit) => ({
  title: text("title").optional(),
  opening: length("opening", unit, "positive", CELL_LIMITS.opening),
  strip: length("strip", unit, "positive", CELL_LIMITS.strip),
  depth: length("depth", unit, "positive", CELL_LIMITS.depth).optional(),
  "seat-share": number(
    "seat-share",
    (share) => share > 0 && share < 1,
    "the seat takes a share of the strip between 0 and 1",
  ).optional(),
  order: word("order", "order", ORDERS).default("exact"),
  "press-ratio": number(
    "press-ratio",
    (ratio) => ratio >= 1 && ratio <= STIFFEST,
    `wood is from 1 to ${STIFFEST} times as stiff when pressed as when open`,
  ).default(PRESS_RATIO),
});
