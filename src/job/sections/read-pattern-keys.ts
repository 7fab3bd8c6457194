import type { LengthUnit } from "../../quantity/index.js";
import { inJobFolder } from "../file/in-job-folder.js";
import type { JobSource } from "../file/job-source.js";
import { JobError } from "../job-error.js";
import type { Pattern, PatternSize } from "../pattern/pattern.js";
import type { PatternFault } from "../pattern/pattern-fault.js";
import { faultsInFile, patternFaults } from "../pattern/pattern-faults-in-file.js";
import { readPattern } from "../pattern/read-pattern.js";
import { shippedPattern, shippedPatterns } from "../pattern/shipped-patterns.js";
import { angle, leaf, length, number } from "../shape/fields.js";
import { faultSentence, Unfit } from "../unfit.js";
import { unknownWord } from "../words.js";

const OWN_FILE = /\.ya?ml$/i;

/** The pattern that a job names: one of this project's, or a file in the job's folder. `null` after noting what is wrong with it. */
export function readPatternKey(source: JobSource): Pattern | null {
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
  problem: "it points out of the job's folder",
  rule: "a pattern of your own lies in the job's folder, and is named by its place in there",
};

/** A name of one of the project's patterns stands for that one: in records, and in what is said of a cell. */
function takenName({ name }: Pattern): PatternFault[] {
  if (!shippedPatterns().includes(name)) return [];
  const problem = "a pattern of this project is called so";
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
export const SEAT_SHARE = "seat-share";

/** The sizes under the key `sizes`, by name: mm, rad or plain. Only what the file gives. */
export function readPatternSizes(
  source: JobSource,
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
  if (is === "length") return length(name, unit, "any");
  if (is === "angle") return angle(name, "any");
  return number(name, (share) => share > 0 && share < 1, "it is a share between 0 and 1");
}
