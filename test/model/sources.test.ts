import { describe, expect, it } from "vitest";
import { errorLayout } from "../../src/model/cell/cell-errors.js";
import { type Fence, type Shop, setUpByGroup } from "../../src/model/shop.js";
import { fenceShift, shopSources, sourceMatrix } from "../../src/model/sources.js";
import { sourceText } from "../../src/render/source-text.js";
import { DEGREE, squareCell } from "../checks/validate/cells.js";

/**
 * The fence rule from the bench: the blade's line meets the fence in a place that the thickness does not move. With the fence along y = 0 and the far side at y = t,
 * the line leaves that place for shorter x when the long side lies at the fence, for longer x when the short side does; it is read at y = t/2, on the axis.
 */
function crossing(fence: "long-side" | "short-side", thickness: number, jigAngle: number): number {
  const lean = fence === "long-side" ? -Math.tan(jigAngle) : Math.tan(jigAngle);
  return 100 + lean * (thickness / 2);
}

describe("the fence rule", () => {
  it.each([22.5, 45, 67.5])("follows from where the blade's line meets the fence, at %f°", (degrees) => {
    const jigAngle = degrees * DEGREE;
    for (const fence of ["long-side", "short-side"] as const) {
      const perMm = (crossing(fence, 3.2, jigAngle) - crossing(fence, 3, jigAngle)) / 0.2;
      expect(fenceShift(fence, jigAngle)).toBeCloseTo(perMm, 9);
    }
    expect(fenceShift("centred", jigAngle)).toBe(0);
  });

  it("cuts pieces of thicker strip shorter along the long side", () => {
    expect(fenceShift("long-side", 45 * DEGREE)).toBeCloseTo(-0.5, 12);
    expect(fenceShift("short-side", 45 * DEGREE)).toBeCloseTo(0.5, 12);
  });
});

function shop(fence: Fence): Shop {
  const jig = (name: string, degrees: number) => ({
    name,
    ramp: degrees * DEGREE,
    fence,
    priorSd: 0.005,
    shims: null,
  });
  return {
    jigs: [jig("point", 67.5), jig("bevel", 22.5)],
    setUps: [
      { name: "points", jig: "point", cuts: ["hinge.point"], stop: null },
      { name: "mitres", jig: "bevel", cuts: ["hinge.mitre"], stop: { priorSd: 0.1, step: null } },
      { name: "seats", jig: "bevel", cuts: ["hinge.seat"], stop: { priorSd: 0.1, step: null } },
    ],
    batchThickness: 0.05,
    biases: [],
  };
}

describe("shared sources", () => {
  const cell = squareCell(60, 3);
  const layout = errorLayout(cell);
  const names = shopSources(shop("centred")).map(({ id }) => sourceText(id));

  /** The errors that one unit of a source makes. */
  function column(fence: Fence, source: string): { what: string; value: number }[] {
    const matrix = sourceMatrix(cell, shop(fence), setUpByGroup(shop(fence)));
    return layout.entries.flatMap(({ kind, owner, face }, i) => {
      const value = matrix[i * names.length + names.indexOf(source)]!;
      return value === 0 ? [] : [{ what: `${owner}.${face ?? ""} ${kind}`, value }];
    });
  }

  it("are the ramps, the stops that there are, and the thickness", () => {
    expect(names).toEqual([
      "ramp of point",
      "ramp of bevel",
      "stop of mitres",
      "stop of seats",
      "thickness of the batch",
    ]);
  });

  it("reach every cut made with them and no other", () => {
    const ramp = column("centred", "ramp of bevel");
    expect(ramp).toHaveLength(8);
    for (const { what, value } of ramp) {
      expect(what).toMatch(/^hinge-\d\.end-(left|right) angle$/);
      expect(value).toBe(1);
    }
    const stop = column("centred", "stop of seats").map(({ what }) => what);
    expect(stop.sort()).toEqual([
      "hinge-1.end-left axial",
      "hinge-2.end-right axial",
      "hinge-3.end-right axial",
      "hinge-4.end-left axial",
    ]);
  });

  it("move the sides of every piece by the thickness, and cuts by the fence rule", () => {
    expect(column("centred", "thickness of the batch").map(({ what }) => what)).toEqual(
      cell.pieces.map(({ name }) => `${name}. thickness`),
    );
    const cuts = column("long-side", "thickness of the batch").filter(({ what }) => what.endsWith("axial"));
    expect(cuts).toHaveLength(16);
    for (const { what, value } of cuts) {
      const degrees = what.includes("start") ? 67.5 : 22.5;
      expect(value).toBeCloseTo(-Math.tan(degrees * DEGREE) / 2, 12);
    }
  });

  it("refuse a set-up without its jig", () => {
    const wrong = { ...shop("centred"), jigs: [] };
    expect(() => sourceMatrix(cell, wrong, setUpByGroup(wrong))).toThrow(/names a jig "point"/);
  });
});
