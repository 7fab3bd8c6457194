import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { type ErrorId, isAngular, type SourceId, sameSource, sourceKey } from "../../src/model/source-id.js";
import { sourceText } from "../../src/render/source-text.js";
import { sourceFiles } from "../checks/house/source-graph.js";

const IDS: readonly ErrorId[] = [
  { kind: "ramp", of: "point-45" },
  { kind: "ramp", of: "point-45", round: "second" },
  { kind: "ramp", of: "point-45", round: "third" },
  { kind: "lean", of: "point-45" },
  { kind: "stop", of: "key-end" },
  { kind: "stop", of: 'key","end' },
  { kind: "thickness", of: "" },
  { kind: "reference", of: "corner-90" },
  { kind: "bias", of: "leaves" },
  { kind: "scatter", of: "angle" },
  { kind: "scatter", of: "thickness" },
  { kind: "grid", of: "racking" },
  { kind: "grid", of: "opening" },
  { kind: "off-centre", of: "key.point" },
];

describe("the id of a source", () => {
  it("has a key of its own and is the same as a copy of itself and nothing else", () => {
    expect(new Set(IDS.map(sourceKey)).size).toBe(IDS.length);
    for (const [i, id] of IDS.entries())
      expect(IDS.map((other) => sameSource({ ...id }, other))).toEqual(IDS.map((_, k) => k === i));
  });

  it("has a name of its own for people", () => {
    expect(new Set(IDS.map(sourceText)).size).toBe(IDS.length);
    expect(sourceText({ kind: "stop", of: "key-end", round: "second" })).toBe(
      "move of the stop of key-end in second",
    );
  });

  it("tells an angle from a length, a move's miss as the source moved", () => {
    const angular = IDS.filter((id): id is SourceId => "round" in id || sourceText(id).includes(" of "))
      .filter(({ kind }) => isAngular(kind))
      .map(({ kind }) => kind);
    expect(angular).toEqual(["ramp", "ramp", "ramp", "lean", "reference"]);
  });
});

/** Where names of sources are made, and the reader of a job's set-ups, whose faults name a stop that is no source yet. */
const EXITS: readonly string[] = ["render/source-text.ts", "io/job/shop.ts"];
/** What would make such a name elsewhere, or take one apart. */
const PROSE =
  /startsWith\(["'`](?:ramp|stop|lean|move)\b|[`"'](?:ramp|lean|stop|reference|bias|move)(?: of the \w+)? of \$\{|["'`](?:ramp|lean|stop|reference|bias|move) of ["'`]|corner-\\d/;

describe("names of sources in the code", () => {
  it("are made in one file and never taken apart", () => {
    const found = sourceFiles(resolve(import.meta.dirname, "../../src"))
      .filter(({ path }) => !EXITS.includes(path))
      .flatMap(({ path, text }) =>
        text
          .split("\n")
          .filter((line) => PROSE.test(line) && !/^\s*(?:\*|\/\*\*|\/\/)/.test(line))
          .map((line) => `${path}: ${line.trim()}`),
      );
    expect(found).toEqual([]);
  });

  it("are seen when they are made elsewhere", () => {
    const ramp = "$" + "{jig.name}";
    for (const line of [
      `const name = \`ramp of ${ramp}\`;`,
      `if (source.startsWith("ramp")) return DEGREE;`,
      `const LEAN = "lean of ";`,
      "const wall = /^corner-\\d/.test(cell.name);",
    ])
      expect(line).toMatch(PROSE);
  });
});
