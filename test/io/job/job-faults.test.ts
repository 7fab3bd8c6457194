import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { loadJob } from "../../../src/io/job/load-job.js";
import { mendedJob } from "../../checks/fuzz/mended.js";
import { CELL_CASES } from "../fault-cases/cell-cases.js";
import { least, MARK } from "../fault-cases/job-case.js";
import { SHOP_CASES } from "../fault-cases/shop-cases.js";
import { faultsOf, inFolder } from "../in-folder.js";

const CASES = [...CELL_CASES, ...SHOP_CASES];

/** Line and column of the mark, both from 1. */
function marked(text: string): { line: number; column: number } {
  const before = text.slice(0, text.indexOf(MARK)).split("\n");
  return { line: before.length, column: before.at(-1)!.length + 1 };
}
const plain = (text: string): string => text.replace(MARK, "");
const faultsIn = (text: string) => faultsOf(() => loadJob(inFolder({ "job.yaml": text })));

describe("a fault in a job file", () => {
  it.each(CASES)("is found and placed: $fault", ({ text, field, says }) => {
    expect(text.split(MARK)).toHaveLength(2);
    const folder = inFolder({ "job.yaml": plain(text) });
    const faults = faultsOf(() => loadJob(folder));
    expect(faults).toMatchObject([{ file: join(folder, "job.yaml"), field, ...marked(text) }]);
    expect(faults[0]!.sentence).toMatch(says);
    expect(faults[0]!.sentence).toMatch(/\.$/);
  });

  it.each(CASES.filter(({ mend }) => mend !== "none"))(
    "has an example that mends it: $fault",
    ({ text, mend }) => {
      const [fault] = faultsIn(plain(text));
      expect(faultsIn(mendedJob(plain(text), fault!, mend === "group"))).toEqual([]);
    },
  );

  it("does not hide others: all are told, in the order of the file", () => {
    const text = `openning: 60
pattern: asanoha
strip: 3 deg
as-cut: { pieces: { hinge-9: {} }, walls: { left: {} } }
jigs: { a: { ramp: 100 deg }, b: { ramp: 45 deg } }
set-ups: { s: { jig: c, cuts: [x.y] } }
instruments: { f: { reads: gap }, g: { reads: smell } }
limits: { gap: -1, snug: 0, wide: 1 }
`;
    const told = faultsIn(text).map(({ line, field }) => `${line} ${field}`);
    expect(told.filter((place) => place.startsWith("1")).sort()).toEqual(["1 opening", "1 openning"]);
    expect(told.slice(2)).toEqual([
      ...["2 pattern", "3 strip", "4 as-cut.pieces.hinge-9", "4 as-cut.walls.left"],
      ...["5 jigs.a.ramp", "5 jigs.b", "6 set-ups.s.jig", "6 set-ups.s.cuts.0"],
      ...["7 instruments.f", "7 instruments.f", "7 instruments.g.reads"],
      ...["8 limits.gap", "8 limits.snug", "8 limits.wide"],
    ]);
  });

  it("is printed with its file, place, sentence and example", () => {
    const folder = inFolder({ "job.yaml": least("60", "-60").replace("strip: 3", "strap: 3") });
    const message = (() => {
      try {
        return String(loadJob(folder));
      } catch (error) {
        return (error as Error).message;
      }
    })();
    const file = join(folder, "job.yaml");
    expect(message).toContain(`${file}, line 2, column 10: opening\n  Opening: it is negative;`);
    expect(message).toContain("\n  Right would be: opening: 60 mm\n");
    expect(message).toContain(`${file}, line 3, column 1: strap\n  The key “strap” is not known here.`);
    expect(message.split("\n\n")).toHaveLength(4);
  });
});
