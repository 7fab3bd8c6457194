import { readdirSync } from "node:fs";
import { join, resolve } from "node:path";
import { at } from "../../core/numeric/dense.js";
import { PACKAGE_ROOT } from "../../core/package-root.js";
import { faultSentence, JobError, nearest, unknownWord } from "../faults.js";
import type { Pattern } from "./pattern.js";
import { readPattern } from "./read-pattern.js";

/**
 * A pattern by its name, or from a file if the name ends in .yaml or .yml.
 *
 * @throws JobError when there is no such pattern or its file cannot be read
 * @example
 * findPattern("diamond").shipped // true
 */
export function findPattern(nameOrFile: string): Pattern {
  if (/\.ya?ml$/i.test(nameOrFile)) return readPattern(nameOrFile);
  const known = shippedPatterns();
  if (known.includes(nameOrFile)) return shippedPattern(nameOrFile);
  const [problem, rule] = unknownWord(nameOrFile, "pattern", known);
  const sentence = faultSentence({
    what: "pattern",
    problem,
    value: nameOrFile,
    rule: `${rule}, or a file of your own such as my-pattern.yaml`,
  });
  const example = nearest(nameOrFile, known) ?? at(known, 0);
  throw new JobError([{ file: nameOrFile, line: 0, column: 0, field: "", sentence, example }]);
}

/** Folder of the patterns that come with this project. */
const FOLDER = resolve(PACKAGE_ROOT, "data/patterns");
/** The pattern used throughout the documentation comes first. */
const FIRST = "asanoha-square";

/**
 * Names of the patterns that come with this project.
 *
 * @example
 * shippedPatterns().includes("asanoha-square") // true
 */
export const shippedPatterns = (): string[] =>
  readdirSync(FOLDER)
    .filter((name) => name.endsWith(".yaml"))
    .map((name) => name.replace(/\.yaml$/, ""))
    .sort((a, b) => Number(b === FIRST) - Number(a === FIRST) || a.localeCompare(b));

const read = new Map<string, Pattern>();

/**
 * A pattern that comes with this project, by its name; its file is read only once.
 *
 * @example
 * shippedPattern("diamond").title // "Diamond"
 */
export function shippedPattern(name: string): Pattern {
  const pattern = read.get(name) ?? readPattern(join(FOLDER, `${name}.yaml`), true);
  read.set(name, pattern);
  return pattern;
}
