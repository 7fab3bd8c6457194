import { describe, expect, it } from "vitest";
import {
  add,
  crossing,
  direction,
  dot,
  halfPlaneThrough,
  scale,
  sub,
  turnedLeft,
} from "../../../src/core/geometry.js";
import { singleCauses } from "../../../src/features/explain/causes.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { faceStates } from "../../../src/physics/predict/face-states.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { sourceText } from "../../../src/render/source-text.js";
import { job, specimen } from "./invented-cell.js";

const causes = singleCauses(job, specimen, { offCentre: 0.05 });
const named = (name: string) => causes.find((cause) => sourceText(cause.id) === name)!;
const { cell } = specimen;

describe("single causes", () => {
  it("are the job's sources, the grid and points off centre, with the job's own tolerances", () => {
    expect(causes.map(({ id }) => sourceText(id))).toEqual([
      "ramp of point-45",
      "ramp of point-67",
      "ramp of bevel-22",
      "stop of diagonal-end",
      "stop of hinge-mitre",
      "stop of hinge-seat",
      "stop of key-end",
      "thickness of the batch",
      "grid racked",
      "size of the opening",
      "diagonal.start off centre",
      "diagonal.end off centre",
      "hinge.point off centre",
      "key.start off centre",
      "key.end off centre",
    ]);
    expect(named("ramp of point-67").priorSd).toBeCloseTo((0.5 * Math.PI) / 180, 12);
    // Of the clear side, which two walls of a rectangle make smaller.
    expect(named("size of the opening").priorSd).toBeCloseTo(2 * job.grid.offset, 12);
    expect(named("stop of hinge-seat").says[1]).toBe("seat taken too deep");
  });

  it("leave out what is trusted to 0", () => {
    const sure = { ...job, grid: { offset: 0, turn: 0 }, batchThickness: 0 };
    const left = singleCauses(sure, specimen).map(({ id }) => id.kind);
    expect(left).not.toContain("grid");
    expect(left).not.toContain("thickness");
  });

  // A point's faces cross at its tip: off centre by 0.05 moves it sideways by that and along the axis by nothing.
  it("put a point off centre by its size, to the left", () => {
    for (const piece of ["diagonal", "hinge-2", "key-1"]) {
      const group = piece === "hinge-2" ? "hinge.point" : `${piece === "key-1" ? "key" : piece}.start`;
      const errors = named(`${group} off centre`)
        .on(specimen)
        .map((slope) => 0.05 * slope);
      const tip = (states: ReturnType<typeof faceStates>) => {
        const [a, b] = ["start-left", "start-right"].map((side) => {
          const i = cell.faces.findIndex(({ name }) => name === `${piece}.${side}`);
          const angle = states.angle[i]!;
          return halfPlaneThrough(
            angle,
            add(cell.faces[i]!.origin, scale(direction(angle), states.offset[i]!)),
          );
        });
        return crossing(a!, b!);
      };
      const move = sub(tip(faceStates(cell, errors)), tip(faceStates(cell, new Float64Array(errors.length))));
      const axis = direction(cell.pieces.find(({ name }) => name === piece)!.axis);
      expect(dot(move, turnedLeft(axis))).toBeCloseTo(0.05, 12);
      expect(dot(move, axis)).toBeCloseTo(0, 12);
    }
  });

  // A racked square: one diagonal of the opening grows by as much as the other shrinks, so the piece along it gaps one way and presses the other.
  it("rack the grid: one sign opens the diagonal's ends, the other presses them", () => {
    const at = (size: number) => {
      const errors = named("grid racked")
        .on(specimen)
        .map((slope) => size * slope);
      const { probes } = predictCell(cell, errors);
      return probes
        .filter(({ joint }) => joint.startsWith("diagonal."))
        .reduce((sum, { gap }) => sum + gap, 0);
    };
    const turn = (0.1 * Math.PI) / 180;
    expect(Math.max(at(turn), at(-turn))).toBeGreaterThan(0.05);
    expect(Math.min(at(turn), at(-turn))).toBeLessThan(0.01);
  });

  it("take the four walls into the opening alike: each by half of what the clear side is smaller", () => {
    const slopes = named("size of the opening").on(specimen);
    const walls = errorLayout(cell).entries.flatMap(({ kind, owner }, i) =>
      slopes[i] === 0 ? [] : [`${owner} ${kind} ${slopes[i]!.toFixed(9)}`],
    );
    expect(walls.sort()).toEqual(
      ["bottom", "left", "right", "top"].map((side) => `wall-${side} offset 0.500000000`),
    );
  });
});
