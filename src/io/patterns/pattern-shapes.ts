import { z } from "zod";
import { turnsText } from "../../core/text.js";
import type { CutRole } from "../../model/cell/arrangement.js";
import { Unfit } from "../faults.js";
import { flag, leaf, list, word } from "../yaml/fields.js";
import { type Spelling, spellingOf } from "../yaml/job-examples.js";
import { type Expression, parseExpression } from "./parse-expression.js";
import { SIZE_KINDS } from "./pattern.js";

const LONGEST_ABOUT = 600;

/** A number, or a text that is an expression. */
export const expression = (what: string): z.ZodType<Expression> =>
  leaf(what, (input) => {
    if (typeof input !== "string" && typeof input !== "number")
      throw new Unfit("it is not an expression", "write a number or an expression such as opening / 2");
    return parseExpression(String(input));
  });

const named = (what: string, shape: RegExp, rule: string): z.ZodType<string> =>
  leaf(what, (input) => {
    if (typeof input !== "string" || !shape.test(input)) throw new Unfit("this name cannot be used", rule);
    return input;
  });

export const prose = (what: string): z.ZodType<string> =>
  leaf(what, (input) => {
    if (typeof input !== "string" || input.trim() === "" || input.length > LONGEST_ABOUT)
      throw new Unfit("it cannot be shown", `a text has 1 to ${LONGEST_ABOUT} characters`);
    const plain = input.trim().replace(/\s+/g, " ");
    if (/\p{Cc}/u.test(plain) || turnsText(plain))
      throw new Unfit("it cannot be shown", "a text has no invisible characters");
    return plain;
  });

export const PIECE_NAME = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
const ROLES: readonly CutRole[] = ["point", "mitre", "seat"];

export const patternName = named(
  "pattern",
  PIECE_NAME,
  "a pattern's name has small letters, digits and hyphens",
);

export const sizeShape = z.strictObject({
  usual: expression("usual size"),
  is: word("is", "kind of size", SIZE_KINDS).default("length"),
  says: prose("says").default(""),
});

export const wallShape = z.strictObject({ from: expression("from"), to: expression("to") });

export const kindShape = z.strictObject({ length: expression("length"), cuts: z.unknown() });

export const cutShape = z.strictObject({
  angle: expression("angle"),
  at: expression("at").optional(),
  role: word("role", "role of a cut", ROLES),
  group: named(
    "group",
    /^[a-z][a-z0-9-]*\.[a-z][a-z0-9-]*$/,
    "a group of cuts is written kind.cut: hinge.mitre",
  ),
});

export const pieceShape = z.strictObject({
  kind: leaf("kind", String),
  from: expression("from"),
  towards: expression("towards"),
  mirrored: flag("mirrored").default(false),
});

const name = (what: string): z.ZodType<string> =>
  leaf(what, (input) => {
    if (typeof input !== "string")
      throw new Unfit("it is not a name", "write the name as it is written above");
    return input;
  });

export const jointsShape = list(name("joint"));
/** Each stage is one kind or piece, or a list of them. */
export const stagesShape = list(
  z.preprocess((input) => (Array.isArray(input) ? input : [input]), list(name("stage"))) as z.ZodType<
    string[]
  >,
);

/** Every key of a pattern file, with an example value; `*` stands for a name chosen by the author. */
export const PATTERN_EXAMPLES: Readonly<Record<string, string>> = {
  pattern: "my-pattern",
  title: "My own pattern",
  about: "What it is, in a sentence or two",
  sizes: "{ opening: { usual: 60 mm }, strip: { usual: 3 mm } }",
  "sizes.*": "{ usual: 60 mm, says: clear side of the opening }",
  "sizes.*.usual": "60 mm",
  "sizes.*.is": "length",
  "sizes.*.says": "clear side of the opening",
  let: "{ centre: point(opening / 2, opening / 2) }",
  "let.*": "point(opening / 2, opening / 2)",
  walls: "{ wall-bottom: { from: point(0, 0), to: point(opening, 0) } }",
  "walls.*": "{ from: point(0, 0), to: point(opening, 0) }",
  "walls.*.from": "point(0, 0)",
  "walls.*.to": "point(opening, 0)",
  kinds:
    "{ arm: { length: opening / sqrt(2), cuts: { start: { angle: 45 deg, role: point, group: arm.point } } } }",
  "kinds.*":
    "{ length: opening / sqrt(2), cuts: { start: { angle: 45 deg, role: point, group: arm.point } } }",
  "kinds.*.length": "opening / sqrt(2)",
  "kinds.*.cuts": "{ start: { angle: 45 deg, role: point, group: arm.point } }",
  "kinds.*.cuts.*": "{ angle: 45 deg, role: point, group: arm.point }",
  "kinds.*.cuts.*.angle": "45 deg",
  "kinds.*.cuts.*.at": "length - 1 mm",
  "kinds.*.cuts.*.role": "point",
  "kinds.*.cuts.*.group": "arm.point",
  pieces: "{ arm-1: { kind: arm, from: point(0, 0), towards: centre } }",
  "pieces.*": "{ kind: arm, from: point(0, 0), towards: centre }",
  "pieces.*.kind": "arm",
  "pieces.*.from": "point(0, 0)",
  "pieces.*.towards": "centre",
  "pieces.*.mirrored": "true",
  joints: "[arm-1.start-left|wall-left]",
  stages: "[arm]",
};

const USUAL: Spelling = spellingOf(
  PATTERN_EXAMPLES,
  "the keys pattern, sizes, walls, kinds, pieces, joints and stages",
);

export const PATTERN_SPELLING: Spelling = {
  ...USUAL,
  exampleFor: (path) => {
    const [section, kind, , cut, key] = path;
    // A group of cuts is called after its kind.
    return section === "kinds" && key === "group" ? `group: ${kind}.${cut}` : USUAL.exampleFor(path);
  },
};
