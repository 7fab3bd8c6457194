import { describe, expect, it } from "vitest";
import { seenByEye } from "../../../src/features/explain/seen-by-eye.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { squareCell } from "../../checks/validate/cells.js";
import { demoJob } from "../../inference/demo.js";

describe("what an eye saw where a ramp may lean", () => {
  const flat = squareCell(60, 4);
  const deep = compileCell({ ...flat, depth: 12 });
  const sight = { joint: "hinge-1.end-right", at: "heel", seen: "open" } as const;
  const sideOf = (cell: typeof flat, side?: "front" | "back") =>
    seenByEye(demoJob, cell, [{ ...sight, ...(side && { side }) }])[0]!.side;

  it("was seen at the front unless it says otherwise", () => {
    expect(sideOf(deep)).toBe("front");
    expect(sideOf(deep, "back")).toBe("back");
  });

  it("has no side where nothing leans", () => {
    expect(sideOf(flat)).toBeUndefined();
    expect(() => sideOf(flat, "back")).toThrow(/nothing leans in this job, so front and back are alike/);
  });
});
