import { describe, expect, it } from "vitest";
import { benchNamed } from "../../../src/model/cell/benches.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { fittingGroups } from "../../../src/physics/fitting/fitting-plan.js";
import { squareCell } from "../../checks/validate/cells.js";

describe("the groups in which pieces are fitted", () => {
  const cell = squareCell(60, 3);

  it("of the square cell are the diagonal, the hinges of each triangle, and each key", () => {
    expect(fittingGroups(cell).map(({ name, stage }) => [stage, name])).toEqual([
      [0, "diagonal"],
      [1, "hinge-1 and hinge-2"],
      [1, "hinge-3 and hinge-4"],
      [2, "key-1"],
      [2, "key-2"],
    ]);
  });

  it("share all 22 joints out among them", () => {
    const all = fittingGroups(cell).flatMap(({ joints }) => joints);
    expect(all.sort((a, b) => a - b)).toEqual(cell.joints.map((_, joint) => joint));
  });

  it("hold together whatever their order in the pattern", () => {
    const turned = compileCell({ ...cell, stages: cell.stages!.map((names) => [...names].reverse()) });
    const names = (one: typeof cell) =>
      fittingGroups(one)
        .map(({ name }) => name)
        .sort();
    expect(names(turned)).toEqual(names(cell));
  });

  it("are refused to a bench", () => {
    const bench = compileCell(benchNamed("corner-90", { strip: 3, jigAngle: Math.PI / 4 }));
    expect(() => fittingGroups(bench)).toThrow(/corner-90 does not say in which order/);
  });
});
