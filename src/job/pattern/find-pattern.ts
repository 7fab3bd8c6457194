import { JobError } from "../job-error.js";
import { faultSentence } from "../unfit.js";
import { nearest, unknownWord } from "../words.js";
import type { Pattern } from "./pattern.js";
import { readPattern } from "./read-pattern.js";
import { shippedPattern, shippedPatterns } from "./shipped-patterns.js";

/**
 * A pattern by its name, or from a file: what ends in .yaml or .yml is one.
 *
 * @throws JobError when there is no such pattern or its file cannot be read
 */
export function findPattern(nameOrFile: string): Pattern {
  if (/\.ya?ml$/i.test(nameOrFile)) return readPattern(nameOrFile);
  const known = shippedPatterns();
  if (known.includes(nameOrFile)) return shippedPattern(nameOrFile);
  const [problem, rule] = unknownWord(nameOrFile, "pattern", known);
  const sentence = faultSentence({
    ...{ what: "pattern", problem, value: nameOrFile },
    rule: `${rule}, or a file of your own such as my-pattern.yaml`,
  });
  const example = nearest(nameOrFile, known) ?? known[0]!;
  throw new JobError([{ file: nameOrFile, line: 0, column: 0, field: "", sentence, example }]);
}
