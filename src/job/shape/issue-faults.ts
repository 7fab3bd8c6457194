import type { $ZodIssue } from "zod/v4/core";
import { describe } from "../../quantity/describe.js";
import { type FaultParts, faultSentence } from "../unfit.js";
import { listed, nearest } from "../words.js";
import type { Spelling } from "./job-examples.js";

export interface IssueFault {
  readonly path: readonly (string | number)[];
  /** The key is wrong, not its value. */
  readonly ofKey: boolean;
  readonly sentence: string;
  readonly example?: string;
}

/** What to say of an issue that a shape raised at a path; `value` is what stands there. */
export function issueFaults(
  path: readonly (string | number)[],
  issue: $ZodIssue,
  value: unknown,
  spelling: Spelling,
): IssueFault[] {
  if (issue.code === "unrecognized_keys") return issue.keys.map((key) => unknownKey(path, key, spelling));
  const what = String(path.findLast((step) => typeof step === "string") ?? "job file");
  const say = (problem: string, rule: string): IssueFault[] => [
    { path, ofKey: false, sentence: faultSentence({ what, problem, rule, value }) },
  ];
  if (issue.code === "invalid_type") {
    if (value === undefined) return [{ path, ofKey: false, sentence: missing(what) }];
    return issue.expected === "array"
      ? say("it is not a list", "its members stand between square brackets, with commas between them")
      : say(
          "it is not a group of keys",
          "its keys stand below it, further to the right, or between curly brackets",
        );
  }
  if (issue.code === "too_small") return say("the list is empty", "it needs one member at least");
  if (issue.code === "too_big") return say("the list is too long", `at most ${issue.maximum} are read`);
  if (issue.code === "custom" && issue.params) {
    const parts = issue.params as Omit<FaultParts, "value">;
    return [{ path, ofKey: false, sentence: faultSentence({ ...parts, value }) }];
  }
  // What a leaf of the shape refuses is a whole sentence already.
  return [{ path, ofKey: false, sentence: issue.message }];
}

/** Of a key that has to be there. */
export const missing = (what: string): string =>
  faultSentence({ what, problem: "it is missing", rule: "it has no default, so the file must give it" });

function unknownKey(
  path: readonly (string | number)[],
  key: string,
  { keysKnown, exampleFor }: Spelling,
): IssueFault {
  const known = keysKnown(path);
  const near = nearest(key, known);
  const guess = near === undefined ? "" : `Did you mean ${near}? `;
  return {
    path: [...path, key],
    ofKey: true,
    sentence: `The key ${describe(key)} is not known here. ${guess}The keys here are ${listed(known)}.`,
    example: exampleFor([...path, near ?? known[0]!]),
  };
}
