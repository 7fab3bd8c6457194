import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { JobFault } from "../../../src/io/faults.js";
import { faultsInFile, patternFaults } from "../../../src/io/patterns/check-pattern.js";
import { shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { readPattern } from "../../../src/io/patterns/read-pattern.js";
import { faultsOf, inFolder } from "../in-folder.js";

const PATTERNS = join(import.meta.dirname, "../../../data/patterns");
const textOf = (name: string): string => readFileSync(join(PATTERNS, `${name}.yaml`), "utf8");

/** The text with one thing changed; each must be there. */
function changed(name: string, ...changes: readonly (readonly [from: string, to: string])[]): string {
  return changes.reduce((text, [from, to]) => {
    expect(text).toContain(from);
    return text.replace(from, to);
  }, textOf(name));
}

/** Everything that is found wrong with a pattern file, by reading and by checking. */
function wrongIn(text: string): readonly JobFault[] {
  const file = join(inFolder({ "own.yaml": text }), "own.yaml");
  const read = faultsOf(() => readPattern(file));
  if (read.length > 0) return read;
  const pattern = readPattern(file);
  return faultsInFile(pattern, patternFaults(pattern));
}
const lineOf = (text: string, part: string): number => text.slice(0, text.indexOf(part)).split("\n").length;

describe("what does not meet is told with its place and by how much", () => {
  it.each(shippedPatterns())("nothing in %s", (name) => {
    expect(wrongIn(textOf(name))).toEqual([]);
  });

  it("arms too long by 0.2 mm press their 120° mitres 2·0.2·cos 30° deep", () => {
    const text = changed("asanoha-triangular", ["opening / sqrt(3)\n", "opening / sqrt(3) + 0.2\n"]);
    const faults = wrongIn(text);
    expect(faults).toHaveLength(3);
    const depth = (0.4 * Math.cos(Math.PI / 6)).toFixed(4);
    for (const { sentence } of faults)
      expect(sentence).toContain(`the faces lie ${depth} mm over each other`);
    expect(faults[0]!.sentence).toContain("arm-1.end-right|arm-2.end-left");
    expect(faults[0]!.line).toBe(lineOf(text, "- arm-1.end-right|arm-2.end-left"));
  });

  it("a short arm leaves the same mitres open", () => {
    const faults = wrongIn(
      changed("asanoha-triangular", ["opening / sqrt(3)\n", "opening / sqrt(3) - 0.2\n"]),
    );
    for (const { sentence } of faults) expect(sentence).toMatch(/the faces are 0\.3464 mm apart/);
  });

  it("a bevel a degree off is told in degrees, and at both its ends in mm", () => {
    const text = changed("corner-cross", [
      "end: { angle: 45 deg, role: mitre",
      "end: { angle: 44 deg, role: mitre",
    ]);
    const [first] = wrongIn(text);
    // Each end of the pair is a degree blunt: 2° over a face of (t/2)/cos 44°.
    const heel = ((1.5 / Math.cos((44 * Math.PI) / 180)) * Math.tan((2 * Math.PI) / 180)).toFixed(4);
    expect(first!.sentence).toContain(
      `the faces are 2° from parallel, ${heel} mm over each other at one end and touching at the other`,
    );
    const file = join(inFolder({ "own.yaml": text }), "own.yaml");
    const [inInches] = patternFaults(readPattern(file), {}, "in");
    expect(inInches!.sentence).toContain(
      `parallel, ${(Number(heel) / 0.0254).toPrecision(3)} thou over each`,
    );
  });

  it("a tip that is not where the length ends", () => {
    const text = changed("asanoha-square", ["length: to_centre - shift", "length: to_centre - shift - 0.05"]);
    const [first] = wrongIn(text);
    expect(first!.field).toBe("kinds.hinge.length");
    expect(first!.sentence).toMatch(/tip at its end, .* lies 0\.0500 mm beyond where its length ends/);
    expect(first!.line).toBe(lineOf(text, "length: to_centre - shift"));
  });

  it("a piece over another where no joint is listed, by the least move that parts them", () => {
    const text = changed("corner-cross", [
      "towards: centre }\n  arm-4",
      "towards: centre }\n  stray: { kind: arm, from: point(0, 5), towards: point(5, 5), mirrored: true }\n  arm-4",
    ]);
    expect(
      wrongIn(text.replace("point(0, 5), towards: point(5, 5)", '"point(0, 5)", towards: "point(5, 5)"')).map(
        ({ sentence }) => sentence,
      ),
    ).toEqual(expect.arrayContaining([expect.stringMatching(/Piece stray: it lies over arm-1 by \d/)]));
  });

  it("a piece beyond a wall", () => {
    const text = changed("asanoha-triangular", [
      "c: point(opening / 2, opening * sqrt(3) / 2)",
      "c: point(opening / 2, opening * sqrt(3) / 2 - 0.5)",
    ]);
    expect(wrongIn(text).some(({ sentence }) => /it lies 0\.\d+ mm beyond wall-/.test(sentence))).toBe(true);
  });

  it("walls that do not close, and walls the wrong way round", () => {
    const open = wrongIn(
      changed("corner-cross", [
        "wall-top: { from: c, to: d }",
        "wall-top: { from: c, to: d + (c - d) / 60 }",
      ]),
    );
    expect(open[0]!.sentence).toMatch(/no wall begins where it ends; the nearest is 1\.0000 mm off/);
    expect(open[0]!.field).toBe("walls.wall-top.to");
    const turned = wrongIn(
      changed(
        "asanoha-triangular",
        ["{ from: a, to: b }", "{ from: b, to: a }"],
        ["{ from: b, to: c }", "{ from: c, to: b }"],
        ["{ from: c, to: a }", "{ from: a, to: c }"],
      ),
    );
    expect(turned[0]!.sentence).toMatch(/does not turn left/);
  });

  it("a joint that is not listed, twice listed, of no face, or the wrong way round", () => {
    const joint = "  - arm-1.end-right|arm-2.end-left\n";
    const missing = wrongIn(changed("asanoha-triangular", [joint, ""]));
    expect(missing.map(({ sentence }) => sentence)).toEqual([
      expect.stringContaining("arm-1.end-right|arm-2.end-left is not listed"),
    ]);
    const twice = wrongIn(changed("asanoha-triangular", [joint, joint + joint]));
    expect(twice[0]!.sentence).toMatch(/it is listed twice/);
    const noFace = wrongIn(changed("asanoha-triangular", [joint, "  - arm-1.end-rihgt|arm-2.end-left\n"]));
    expect(noFace[0]!.sentence).toMatch(/no face arm-1\.end-rihgt; did you mean arm-1\.end-right\?/);
    const turned = wrongIn(changed("asanoha-triangular", [joint, "  - arm-2.end-left|arm-1.end-right\n"]));
    expect(turned[0]!.sentence).toMatch(/written the other way round/);
  });

  it("a face that the others cut away", () => {
    const text = changed("asanoha-square", [
      "at: to_centre - 2 * shift, role: seat",
      "at: to_centre + 4, role: seat",
    ]);
    expect(wrongIn(text)[0]!.sentence).toMatch(/Face hinge-1\.end-left: nothing is left of it/);
  });

  it("a piece that nothing holds", () => {
    const text = `pattern: sliding-bar
title: A bar along a wall
sizes: { opening: { usual: 60 mm }, strip: { usual: 3 mm } }
walls:
  wall-bottom: { from: "point(0, 0)", to: "point(opening, 0)" }
  wall-right: { from: "point(opening, 0)", to: "point(opening, opening)" }
  wall-top: { from: "point(opening, opening)", to: "point(0, opening)" }
  wall-left: { from: "point(0, opening)", to: "point(0, 0)" }
kinds:
  bar:
    length: 20 mm
    cuts:
      start: { angle: 45 deg, role: point, group: bar.start }
      end: { angle: 45 deg, role: point, group: bar.end }
pieces:
  bar-1: { kind: bar, from: "point(20, strip / 2)", towards: "point(40, strip / 2)" }
joints: [bar-1.right|wall-bottom]
stages: [bar]
`;
    const [only, ...others] = wrongIn(text);
    expect(others).toEqual([]);
    expect(only!.sentence).toMatch(/Piece bar-1: nothing holds it: it can slide or turn/);
    expect([only!.field, only!.line]).toEqual(["pieces.bar-1", lineOf(text, "bar-1: {")]);
  });
});

describe("what is wrong in the writing of a pattern file", () => {
  it.each<[string, string, string, RegExp, string]>([
    [
      "asanoha-triangular",
      "length: opening / sqrt(3)",
      "length: openin / sqrt(3)",
      /no “openin” here; did you mean opening/,
      "kinds.arm.length",
    ],
    [
      "asanoha-triangular",
      "angle: 60 deg",
      "angle: 90 deg",
      /it comes to 90\.0000°; counted from a square cut it is 0° to 80°/,
      "kinds.arm.cuts.start.angle",
    ],
    ["asanoha-triangular", "role: mitre", "role: butt", /no such role of a cut/, "kinds.arm.cuts.end.role"],
    [
      "asanoha-triangular",
      "group: arm.centre",
      "group: leg.centre",
      /a group of cuts is called after its kind: arm\.centre/,
      "kinds.arm.cuts.end.group",
    ],
    [
      "asanoha-triangular",
      "kind: arm, from: b",
      "kind: amr, from: b",
      /no such kind; did you mean arm\?/,
      "pieces.arm-2.kind",
    ],
    [
      "asanoha-triangular",
      "stages: [arm]",
      "stages: [arm-1, arm-2]",
      /arm-3 is in none; every piece is put in once/,
      "stages",
    ],
    ["asanoha-triangular", "stages: [arm]", "stages: [arm, arm-2]", /arm-2 is in more than one/, "stages"],
    ["asanoha-triangular", "wall-left: {", "left: {", /this is no wall's name/, "walls.left"],
    [
      "asanoha-triangular",
      "centre: point(opening / 2",
      "sqrt: point(opening / 2",
      /something of that name already/,
      "let.sqrt",
    ],
    ["asanoha-triangular", "  strip: { usual: 3 mm", "  stripe: { usual: 3 mm", /strip is missing/, "sizes"],
    [
      "asanoha-triangular",
      "from: a, towards: centre",
      "from: a, towards: a",
      /from and towards are one point/,
      "pieces.arm-1",
    ],
    [
      "asanoha-triangular",
      "from: a, towards: centre",
      "from: opening, towards: centre",
      /comes to a number; a point belongs here/,
      "pieces.arm-1.from",
    ],
    [
      "asanoha-triangular",
      "pattern: asanoha-triangular",
      "pattern: Asanoha!",
      /small letters, digits and hyphens/,
      "pattern",
    ],
    ["asanoha-triangular", "      end: {", "      end-left: {", /end-right missing/, "kinds.arm.cuts"],
    [
      "asanoha-triangular",
      "title: Triangular asanoha",
      "titel: Triangular asanoha",
      /titel.*not known here\. Did you mean title\?/,
      "titel",
    ],
  ])("%s with %s → %s", (name, from, to, message, field) => {
    const text = changed(name, [from, to]);
    const faults = wrongIn(text);
    const found = faults.find(({ sentence }) => message.test(sentence));
    expect(found, faults.map(({ sentence }) => sentence).join("\n")).toBeDefined();
    expect(found!.field).toBe(field);
    expect(found!.line).toBeGreaterThan(0);
  });

  it("is an empty file, a list, or no YAML at all", () => {
    for (const text of ["", "- 1\n", "pattern: [\n"]) expect(wrongIn(text).length).toBeGreaterThan(0);
  });
});
