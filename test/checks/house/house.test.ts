import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { drawRooms, plainArrows } from "./draw-rooms.js";
import {
  badArrows,
  circles,
  MAY_IMPORT,
  namesTwice,
  sourceFile,
  sourceFiles,
  unreached,
  unusedNames,
} from "./source-graph.js";

const ROOT = resolve(import.meta.dirname, "../../..");
const files = sourceFiles(join(ROOT, "src"));
const checks = sourceFiles(join(ROOT, "test/checks")).filter(({ path }) => !path.includes(".test."));

/** Where running begins: the entry points, the command line, and what the build bundles or starts as a thread. */
const MAINS = [
  "index.ts",
  "core-entry.ts",
  "uncertainty-entry.ts",
  "notebook-entry.ts",
  "jupyter-kernel.ts",
  "cli/main.ts",
  "bundle-cli.mjs",
  "bundle-core.mjs",
  "features/play/bundle-page.mjs",
  "features/play/browser/main.ts",
  "features/sheet/bundle-sheet.mjs",
  "features/sheet/browser/main.ts",
];

/** Plain ways that tests hold the fast ones to. */
const PLAIN = ["core/numeric/elliptical-slice.ts: logWeights"];

describe("the arrows between folders", () => {
  it("point one way", () => {
    expect(files.length).toBeGreaterThan(200);
    expect(badArrows(files)).toEqual([]);
  });

  it("are acyclic as written", () => {
    const seen = new Set<string>();
    for (const [folder, targets] of Object.entries(MAY_IMPORT)) {
      for (const target of targets) expect(["io", ...seen], `${folder} → ${target}`).toContain(target);
      seen.add(folder);
    }
    expect(MAY_IMPORT.io).not.toContain("inference");
  });

  it("never run in a circle of files, type-only imports included", () => {
    expect(circles(files)).toEqual([]);
  });

  it("are seen when wrong", () => {
    expect(badArrows([sourceFile("core/x.ts", 'import { y } from "../model/y.js";')])).toHaveLength(1);
    expect(badArrows([sourceFile("render/x.ts", 'await import("../cli/main.js")')])).toHaveLength(1);
    expect(badArrows([sourceFile("render/x.ts", 'import "../cli/arguments.js";')])).toHaveLength(1);
    expect(badArrows([sourceFile("features/a/x.ts", 'import "../b/y.js";')])).toHaveLength(1);
    expect(badArrows([sourceFile("features/a/x.ts", 'import "../b/index.js";')])).toEqual([]);
    const round = [
      sourceFile("core/a.ts", 'import type { B } from "./b.js";'),
      sourceFile("core/b.ts", 'import { a } from "./c.js";'),
      sourceFile("core/c.ts", 'import { a } from "./a.js";'),
    ];
    expect(circles(round)).toEqual([["core/a.ts", "core/b.ts", "core/c.ts"]]);
  });

  it("bind decimal.js to quantities alone", () => {
    const users = files.filter(({ text }) => text.includes('"decimal.js"')).map(({ path }) => path);
    for (const user of users) expect(user).toMatch(/^core\/quantity\//);
  });
});

describe("the picture of the rooms", () => {
  it("is drawn from the table of arrows: npm run house -- --draw", () => {
    expect(readFileSync(join(ROOT, "docs/rooms.svg"), "utf8")).toBe(drawRooms(MAY_IMPORT));
  });

  it("leaves out an arrow only where others lead the same way", () => {
    expect(plainArrows({ a: [], b: ["a"], c: ["a", "b"] })).toEqual([
      ["b", "a"],
      ["c", "b"],
    ]);
    const table: Record<string, string[]> = Object.fromEntries(
      Object.keys(MAY_IMPORT).map((room) => [room, []]),
    );
    for (const [from, to] of plainArrows(MAY_IMPORT)) table[from]!.push(to, ...table[to]!);
    for (const [room, targets] of Object.entries(MAY_IMPORT))
      expect([...new Set(table[room])].sort(), room).toEqual([...targets].sort());
  });

  it("has no room on top of another", () => {
    const boxes = [
      ...drawRooms(MAY_IMPORT).matchAll(
        /<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"/g,
      ),
    ].map(([, ...numbers]) => numbers.map(Number) as [number, number, number, number]);
    const rooms = boxes.slice(1); // the first is the paper
    expect(rooms).toHaveLength(Object.keys(MAY_IMPORT).length);
    for (const [i, [x, y, width, height]] of rooms.entries())
      for (const [left, top] of rooms.slice(0, i))
        expect(Math.abs(left - x) >= width || Math.abs(top - y) >= height).toBe(true);
  });

  it("knows every room", () => {
    expect(() => drawRooms({ ...MAY_IMPORT, attic: ["core"] })).toThrow(/what attic holds/);
  });
});

describe("nothing is kept that only tests use", () => {
  it("every file is reached from where running begins", () => {
    expect(unreached(files, MAINS)).toEqual([]);
  });

  it("every exported name is used in src, in the checks, or public", () => {
    expect(unusedNames(files, checks).filter((name) => !PLAIN.includes(name))).toEqual([]);
  });

  it("is seen when it is", () => {
    const lonely = [
      sourceFile("index.ts", 'export { used } from "./a/used.js";'),
      sourceFile("a/used.ts", "/** As lost. */\nexport const used = 1;"),
      sourceFile("a/lost.ts", "export const lost = 2;"),
    ];
    expect(unreached(lonely, ["index.ts"])).toEqual(["a/lost.ts"]);
    expect(unusedNames(lonely)).toEqual(["a/lost.ts: lost"]);
  });
});

describe("what a file holds", () => {
  const text = `import type { A } from "./a.js"; // from "./comment.js"
export * from "./b.js";
const c = await import("./c.js");
new Worker(new URL("./d.js", import.meta.url));
type E = import("./e.js").E;
const shown = "import './no.js'";
export const two = (x: A) => x!,
  three = 3;
export class Four {
  get five(): number {
    const at = { "}": 1 };
    return at["}"]!;
  }
  six = () => {
    return [1]
      .map((x) => x)[0]!;
  };
}
/** ä → π
 */
export async function seven(): Promise<void> {
}
export type Eight = string;
function nine() {}
`;
  const file = sourceFile("x/y.ts", text);

  it("is read from its syntax tree: imports of every kind", () => {
    expect(file.imports).toEqual(["x/a.ts", "x/b.ts", "x/c.ts", "x/d.ts", "x/e.ts"]);
  });

  it("and the names it exports, its functions and its assertions", () => {
    expect(file.exports).toEqual(["two", "three", "Four", "seven", "Eight"]);
    expect(file.functions).toEqual([
      { name: "two", lines: 1 },
      { name: "five", lines: 4 },
      { name: "six", lines: 4 },
      { name: "(no name)", lines: 1 },
      { name: "seven", lines: 2 },
      { name: "nine", lines: 1 },
    ]);
    expect(file.nonNullAssertions).toBe(3);
  });
});

describe("one name for one thing", () => {
  it("no exported name is declared in two files", () => {
    expect(namesTwice(files)).toEqual([]);
  });
});
