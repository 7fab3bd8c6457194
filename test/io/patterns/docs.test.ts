import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { arrangePattern } from "../../../src/io/patterns/arrange-pattern.js";
import { PATTERN_FUNCTIONS } from "../../../src/io/patterns/evaluate-expression.js";
import { shippedPattern, shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { UNITS } from "../../../src/io/patterns/parse-expression.js";
import type { PatternSizes } from "../../../src/io/patterns/pattern.js";
import { PATTERN_EXAMPLES } from "../../../src/io/patterns/pattern-shapes.js";

const DOCS = join(import.meta.dirname, "../../../docs");
const TEXT = readFileSync(join(DOCS, "patterns.md"), "utf8");

/** The section of one pattern. */
const sectionOf = (name: string): string => TEXT.split(`### ${name}\n`)[1]!.split(/\n##/)[0]!;

describe("docs/patterns.md", () => {
  it.each(shippedPatterns())("has %s, with a drawing that names its pieces", (name) => {
    expect(sectionOf(name)).toContain(`(patterns/${name}.svg)`);
    const drawing = readFileSync(join(DOCS, "patterns", `${name}.svg`), "utf8");
    for (const piece of arrangePattern(shippedPattern(name)).arrangement!.pieces)
      expect(drawing).toContain(`>${piece.name}<`);
  });

  it("tells every key, function and unit, and no other function", () => {
    for (const key of Object.keys(PATTERN_EXAMPLES)) {
      const last = key.split(".").at(-1)!;
      if (last !== "*") expect(TEXT, key).toContain(`\`${last}`);
    }
    for (const name of [...PATTERN_FUNCTIONS.keys(), ...UNITS.keys()])
      expect(TEXT, name).toMatch(new RegExp(`\`${name}[(\`]`));
    const told = [...TEXT.matchAll(/^\| (`.*`) \| /gm)].flatMap(([, cell]) => [
      ...cell!.matchAll(/`(\w+)\(/g),
    ]);
    for (const [, name] of told) expect(PATTERN_FUNCTIONS.has(name!), name).toBe(true);
  });

  it.each<[string, PatternSizes, Record<string, string>]>([
    ["asanoha-square", {}, { diagonal: "84.8528", "hinge-1": "44.1079", "key-1": "24.4719" }],
    [
      "asanoha-rectangular",
      { height: 45 },
      { diagonal: "75", "hinge-1": "31.9530", "hinge-2": "45.2673", "key-1": "20.8258" },
    ],
    [
      "asanoha-rectangular",
      { height: 45, notch: 0 },
      { "hinge-1": "32.1435", "hinge-2": "45.4577", "key-1": "20.3293" },
    ],
    ["asanoha-triangular", {}, { "arm-1": "34.6410" }],
    ["corner-cross", {}, { "arm-1": "42.4264" }],
    ["diamond", {}, { "side-1": "37.5" }],
    ["inner-triangle", {}, { "side-1": "30" }],
  ])("has the lengths of %s as they come out, %o", (name, sizes, lengths) => {
    const { pieces } = arrangePattern(shippedPattern(name), { opening: 60, strip: 3, ...sizes }).arrangement!;
    for (const [piece, printed] of Object.entries(lengths)) {
      const { length } = pieces.find((one) => one.name === piece)!;
      expect(length.toFixed(printed.split(".")[1]?.length ?? 0)).toBe(printed);
      expect(sectionOf(name)).toContain(printed);
    }
  });
});
