import { type Spelling, spellingOf } from "../shape/job-examples.js";

/** Every key of a pattern file, with a value that it takes; `*` stands for a name of its own. */
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

export const PATTERN_SPELLING: Spelling = spellingOf(
  PATTERN_EXAMPLES,
  "the keys pattern, sizes, walls, kinds, pieces, joints and stages",
);
