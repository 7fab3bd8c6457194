import { describe, expect, it } from "vitest";
import { UserError } from "../../../src/core/errors.js";
import { arrangePattern } from "../../../src/io/patterns/arrange-pattern.js";
import { shippedPattern, shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { benchNamed, benchNames } from "../../../src/model/cell/benches.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { cutsMeant, jointNames } from "../../../src/model/cell/joint-names.js";

/** The cell of a pattern, and every bench that any of its jig angles suits. */
function cellsOf(pattern: string): Cell[] {
  const arrangement = arrangePattern(shippedPattern(pattern)).arrangement!;
  const angles = new Set(arrangement.pieces.flatMap(({ cuts }) => cuts.map(({ jigAngle }) => jigAngle)));
  const benches = benchNames(arrangement).flatMap((name) =>
    [...angles].flatMap((jigAngle): Cell[] => {
      try {
        return [compileCell(benchNamed(name, { strip: arrangement.strip, jigAngle }))];
      } catch (error) {
        if (error instanceof UserError) return [];
        throw error;
      }
    }),
  );
  return [compileCell(arrangement), ...benches];
}

describe.each(shippedPatterns())("the names of the joints of %s", (pattern) => {
  const cells = cellsOf(pattern);

  it("are short and mean one joint each, in the cell and on every bench", () => {
    expect(cells.length).toBeGreaterThan(1);
    for (const cell of cells) {
      const { short, meant } = jointNames(cell);
      expect(new Set(short).size).toBe(cell.joints.length);
      for (const [i, { name }] of cell.joints.entries()) {
        expect(meant(short[i]!)).toEqual([name]);
        expect(meant(short[i]!.toUpperCase())).toEqual([name]);
        expect(meant(name)).toEqual([name]);
        expect(short[i]!.length).toBeLessThan(name.length);
        // In a cell none of them needs a side or a sign that has to be looked up.
        if (cell === cells[0])
          expect(short[i]).toMatch(/^[a-z]+(-\d)? (tip|start|end|mitre|seat)( on [a-z]+(-[a-z0-9]+)?)?$/);
      }
    }
  });

  it("never mean a joint that another name in full or in part means", () => {
    for (const cell of cells) {
      const { short, meant } = jointNames(cell);
      for (const [i, { name }] of cell.joints.entries())
        for (const other of cell.joints)
          if (other.name !== name) expect(meant(other.name)).not.toContain(meant(short[i]!)[0]);
    }
  });
});

describe("a joint in words", () => {
  const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
  const { meant, short } = jointNames(cell);

  it("may be named from either of its pieces", () => {
    expect(meant("hinge-1 mitre")).toEqual(["hinge-1.end-right|hinge-2.end-left"]);
    expect(meant("hinge-2 mitre")).toEqual(meant("hinge-1 mitre"));
    expect(meant("hinge-1 mitre on hinge-2")).toEqual(meant("hinge-1 mitre"));
    expect(meant("hinge-1 seat")).toEqual(["key-1.end-right|hinge-1.end-left"]);
    expect(meant("key-1 end on hinge-1")).toEqual(meant("hinge-1 seat"));
    expect(meant("key-1 end right")).toEqual(meant("hinge-1 seat"));
    expect(meant("diagonal left on hinge-1")).toEqual(["hinge-1.start-right|diagonal.left"]);
  });

  it("may leave out words that say nothing, and be in any case", () => {
    expect(meant("  The tip of hinge-1 on wall-left ")).toEqual([]);
    expect(meant("Hinge-1 TIP  wall-left")).toEqual(["hinge-1.start-left|wall-left"]);
    expect(meant("hinge-1 tip on the wall-left")).toEqual(meant("hinge-1 tip wall-left"));
    expect(meant("hinge-1 tip left")).toEqual(meant("hinge-1 tip wall-left"));
  });

  it("is not clear where it fits several, and unknown where it fits none", () => {
    expect(meant("hinge-1 tip")).toEqual([
      "hinge-1.start-left|wall-left",
      "hinge-1.start-right|diagonal.left",
    ]);
    expect(meant("hinge-5 tip")).toEqual([]);
    expect(meant("hinge-1 nose")).toEqual([]);
    expect(meant("")).toEqual([]);
  });

  it("is said by what the cut does where one word is enough", () => {
    expect(short.slice(4, 9)).toEqual([
      "hinge-1 tip on wall-left",
      "hinge-1 tip on diagonal",
      "hinge-2 tip on wall-top",
      "hinge-2 tip on diagonal",
      "hinge-1 mitre",
    ]);
  });
});

describe("a cut in words", () => {
  const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));

  it("is one face of a piece", () => {
    expect(cutsMeant(cell, "hinge-1 mitre")).toEqual(["hinge-1.end-right"]);
    expect(cutsMeant(cell, "hinge-1 tip left")).toEqual(["hinge-1.start-left"]);
    expect(cutsMeant(cell, "hinge-1 tip")).toEqual(["hinge-1.start-left", "hinge-1.start-right"]);
    expect(cutsMeant(cell, "hinge-1 on wall-left")).toEqual([]);
  });
});
