import { describe, expect, it } from "vitest";
import { BENCH_NAMES, benchNamed } from "../../../src/model/cell/benches.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { turned } from "../../checks/validate/symmetries.js";
import { userError } from "../../user-error.js";
import { outlines } from "./support/outlines.js";

const DEGREE = Math.PI / 180;
const SUITED: Record<(typeof BENCH_NAMES)[number], number> = {
  "corner-90": 45,
  "corner-45": 67.5,
  straightedge: 22.5,
  "mitre-pair": 22.5,
  reversal: 45,
  ring: 67.5,
};
const bench = (name: (typeof BENCH_NAMES)[number], strip = 3, degrees = SUITED[name]) =>
  benchNamed(name, { strip, jigAngle: degrees * DEGREE });

describe.each(BENCH_NAMES)("the bench %s", (name) => {
  it("holds its pieces, in any strip and however it lies", () => {
    for (const strip of [1, 3, 3.175, 12]) {
      for (let k = 0; k < 12; k++) {
        const model = cellModel(compileCell(turned(bench(name, strip), 0.53 * k)));
        expect(model.readProbes).toBe(2 * bench(name).jointCount!);
      }
    }
  });

  it.each([0, -3, Number.NaN, Number.POSITIVE_INFINITY])("refuses a strip of %f mm", (strip) => {
    expect(() => bench(name, strip)).toThrow(userError("cell"));
    expect(() => bench(name, strip)).toThrow(/strip must be a length greater than zero/);
  });

  it.each([Number.NaN, -22.5, 85, 90, 135])("refuses a jig labelled %f°", (degrees) => {
    expect(() => bench(name, 3, degrees)).toThrow(userError("cell"));
    expect(() => bench(name, 3, degrees)).toThrow(/takes a jig labelled from \d+° to 80°/);
  });
});

describe("a bench for another jig is refused", () => {
  it.each([
    ["corner-90", 67.5],
    ["corner-90", 45.01],
    ["corner-45", 45],
    ["reversal", 22.5],
  ] as const)("%s with %f°", (name, degrees) => {
    expect(() => bench(name, 3, degrees)).toThrow(userError("cell"));
    expect(() => bench(name, 3, degrees)).toThrow(
      `takes a point cut at ${SUITED[name]}°; this jig is labelled ${degrees}°`,
    );
  });

  it("ring with points that do not fill a turn", () => {
    for (const degrees of [0, 22.5, 44, 71])
      expect(() => bench("ring", 3, degrees)).toThrow(/do not fill a full turn/);
  });

  it("mitre-pair with square ends", () => {
    expect(() => bench("mitre-pair", 3, 0)).toThrow(/takes a jig labelled from 1° to 80°/);
  });
});

describe("a ring", () => {
  it.each([
    [30, 3],
    [45, 4],
    [60, 6],
    [67.5, 8],
    [75, 12],
  ])("of points cut at %f° has %i of them, without a gap or an overlap at the centre", (degrees, count) => {
    const cell = compileCell(bench("ring", 3, degrees));
    expect(cell.pieces).toHaveLength(count);
    const corners = outlines(cell).flat();
    expect(corners.filter(({ x, y }) => Math.hypot(x, y) < 1e-9)).toHaveLength(count);
    expect(cell.joints.filter(({ pressed }) => !pressed)).toHaveLength(1);
  });
});

describe("a bench that does not hold its pieces is refused", () => {
  it.each(["mitre-pair", "reversal", "ring"] as const)("%s without its pins, however it lies", (name) => {
    for (const strip of [1, 3, 10]) {
      for (let k = 0; k < 60; k++) {
        const { pins, ...unpinned } = turned(bench(name, strip), 0.1071 * k);
        expect(pins?.length).toBeGreaterThan(0);
        const cell = compileCell(unpinned);
        expect(() => cellModel(cell), `strip ${strip}, turned ${0.1071 * k}`).toThrow(userError("seating"));
        expect(() => cellModel(cell)).toThrow(/^(hinge-[ab]|point-\d) is not held/);
      }
    }
  });

  it("a bevel against the straightedge alone", () => {
    const whole = bench("straightedge");
    const alone = { ...whole, walls: whole.walls.slice(1), jointCount: 1 };
    expect(() => cellModel(compileCell(alone))).toThrow("bevel is not held");
  });

  it("a ring that lacks one pin names a piece that is free", () => {
    const whole = bench("ring");
    const cell = compileCell({ ...whole, pins: whole.pins!.filter(({ piece }) => piece !== "point-3") });
    expect(() => cellModel(cell)).toThrow(/^point-\d is not held/);
  });
});
