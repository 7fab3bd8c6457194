import { solveQP } from "quadprog";
import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { freeGaps } from "../../../src/physics/predict/equilibrium.js";
import { freeBody } from "../../../src/physics/seating/energy.js";
import { linearise, restLinear } from "../../../src/physics/seating/rest-linear.js";
import type { SeatingModel } from "../../../src/physics/seating/seating-model.js";
import {
  LARGE,
  ORDINARY,
  randomErrors,
  SIZES,
  sharedErrors,
  squareCell,
} from "../../checks/validate/cells.js";
import {
  type LinearSeating,
  linearSeating,
  seatByQuadraticProgramme,
} from "../../checks/validate/seating-programme.js";
import { userError } from "../../user-error.js";

function energyAt({ free, slopes, weight, pressRatio }: LinearSeating, pose: Float64Array): number {
  const n = pose.length;
  return free.reduce((sum, g0, i) => {
    const g = pose.reduce((gap, q, c) => gap + slopes[i * n + c]! * q, g0);
    return sum + 0.5 * weight[i]! * (g < 0 ? pressRatio : 1) * g * g;
  }, 0);
}

describe("rest in first order", () => {
  const stream = createStream(51);

  it.each(SIZES)("of %f mm in %f mm strip is the least energy far and near", (opening, strip) => {
    const model = cellModel(squareCell(opening, strip));
    const linear = linearSeating(model.cell, randomErrors(model.cell, stream, ORDINARY));
    const { pose } = restLinear(model.seating, model.nominal, linear.free);
    const least = energyAt(linear, pose);
    for (const size of [1e-6, 1e-4, 1e-2, 1]) {
      for (let k = 0; k < 50; k++) {
        const other = pose.map((q, i) => q + size * stream.normal() * (i % 3 === 2 ? 0.03 : 1));
        expect(energyAt(linear, other)).toBeGreaterThanOrEqual(least * (1 - 1e-12));
      }
    }
  });

  it("would be beaten if it were not the least", () => {
    const model = cellModel(squareCell(60, 3));
    const linear = linearSeating(model.cell, randomErrors(model.cell, stream, ORDINARY));
    // The pieces as they rest when pressing costs no more than opening.
    const { pose } = restLinear(model.seating, model.nominal, linear.free, 1);
    const start = energyAt(linear, pose);
    const tries = Array.from({ length: 400 }, () =>
      energyAt(
        linear,
        pose.map((q, i) => q + 1e-4 * stream.normal() * (i % 3 === 2 ? 0.03 : 1)),
      ),
    );
    expect(Math.min(...tries)).toBeLessThan(start);
  });

  it("grows in step with the errors", () => {
    const model = cellModel(squareCell(60, 3));
    const errors = randomErrors(model.cell, stream, ORDINARY);
    const gapsAt = (size: number) =>
      restLinear(
        model.seating,
        model.nominal,
        freeGaps(
          model,
          errors.map((e) => size * e),
        ),
      ).gap;
    const one = gapsAt(1);
    for (const size of [1e-9, 1e-3, 7, 100]) {
      for (const [i, g] of gapsAt(size).entries()) {
        expect(Math.abs(g - size * one[i]!)).toBeLessThan(1e-12 * Math.max(1, size));
      }
    }
  });

  it("shares an error out between springs that cost alike as least squares does", () => {
    const model = cellModel(squareCell(60, 3));
    const linear = linearSeating(model.cell, randomErrors(model.cell, stream, LARGE));
    const { gap } = restLinear(model.seating, model.nominal, linear.free, 1);
    // Normal equations: the weighted gaps are square to every slope.
    for (let c = 0; c < 21; c++) {
      const along = gap.reduce((sum, g, i) => sum + linear.weight[i]! * g * linear.slopes[i * 21 + c]!, 0);
      expect(Math.abs(along)).toBeLessThan(1e-10);
    }
  });

  it("is found in one step without errors, and is nothing", () => {
    const model = cellModel(squareCell(60, 3));
    const rest = restLinear(model.seating, model.nominal, new Float64Array(44));
    expect([...rest.pose].every((q) => q === 0)).toBe(true);
    expect(rest).toMatchObject({ iterations: 1, imbalance: 0 });
  });

  it("ends when gaps that mirror each other are zero but for rounding, for errors of any size", () => {
    for (const [opening, strip] of [...SIZES, [600, 6], [1000, 5]] as const) {
      const model = cellModel(squareCell(opening, strip));
      for (const size of [0.1, 1, 12, 100]) {
        for (let k = 0; k < 20; k++) {
          const errors = sharedErrors(model.cell, stream, { degrees: 0.25 * size, mm: 0.025 * size });
          const rest = restLinear(model.seating, model.nominal, freeGaps(model, errors));
          expect(rest.iterations).toBeLessThan(20);
        }
      }
    }
  });

  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])("refuses a press ratio of %f", (pressRatio) => {
    const { seating, nominal } = cellModel(squareCell(60, 3));
    const seat = () => restLinear(seating, nominal, new Float64Array(44), pressRatio);
    expect(seat).toThrow(userError("seating"));
    expect(seat).toThrow(/press ratio must be a number greater than zero/);
  });

  it("refuses gaps that are not numbers", () => {
    const { seating, nominal } = cellModel(squareCell(60, 3));
    const free = new Float64Array(44).fill(0.1);
    free[5] = Number.NaN;
    expect(() => restLinear(seating, nominal, free)).toThrow(userError("seating"));
  });
});

/**
 * One body against three fixed faces: its turn and one direction are held by two probes on a face whose normal points along `degrees`, the other direction by a face
 * at `degrees` + `between`.
 */
function block(degrees: number, between: number, weight = 1): SeatingModel {
  const [a, b] = [degrees, degrees + between].map((d) => (d * Math.PI) / 180);
  const along = { x: -Math.sin(a!), y: Math.cos(a!) };
  const probes = [
    { x: 10 * along.x, y: 10 * along.y, normal: a!, first: 0, mate: 2, weight: 1 },
    { x: -10 * along.x, y: -10 * along.y, normal: a!, first: 0, mate: 2, weight: 1 },
    { x: 0, y: 0, normal: b!, first: 1, mate: 3, weight },
  ];
  const numbers = (pick: (p: (typeof probes)[number]) => number) => Float64Array.from(probes, pick);
  return {
    bodies: 1,
    faceBody: Int32Array.of(0, 0, -1, -1),
    faceX: new Float64Array(4),
    faceY: new Float64Array(4),
    faceAngle: Float64Array.of(a!, b!, a! + Math.PI, b! + Math.PI),
    faceOffset: new Float64Array(4),
    probeX: numbers(({ x }) => x),
    probeY: numbers(({ y }) => y),
    normalX: numbers(({ normal }) => Math.cos(normal)),
    normalY: numbers(({ normal }) => Math.sin(normal)),
    first: Int32Array.from(probes, ({ first }) => first),
    mate: Int32Array.from(probes, ({ mate }) => mate),
    weight: numbers((p) => p.weight),
  };
}

const freeIn = (model: SeatingModel) => freeBody(model, linearise(model));
const TURNS = Array.from({ length: 90 }, (_, k) => 4.1 * k);

describe("a body that nothing holds", () => {
  it("is found whichever way it can slide", () => {
    for (const degrees of TURNS) expect(freeIn(block(degrees, 0)), `${degrees}°`).toBe(0);
  });

  it("is not one that two faces hold, however flat their angle", () => {
    for (const degrees of TURNS) {
      for (const between of [90, 10, 0.1, 0.001]) expect(freeIn(block(degrees, between))).toBeNull();
    }
  });

  it("is one whose only stop is not pressed", () => {
    for (const degrees of TURNS) expect(freeIn(block(degrees, 90, 0))).toBe(0);
  });
});

/*
 * Pass rule: every gap agrees to 1e-10 mm (5e-13 seen). That the energies of 500 random cells of every size agree is one of the outside checks, src/validate/seating-programme.ts.
 */
const GAP = 1e-10;

describe("the programme itself", () => {
  it("shares an error out between two springs as by hand", () => {
    // Two probes face each other along one coordinate: gaps a + q and b − q. Both open: q = (b − a)/2.
    const pair = (a: number, b: number): LinearSeating => ({
      free: Float64Array.of(a, b),
      slopes: Float64Array.of(1, -1),
      weight: Float64Array.of(1, 1),
      pressRatio: 1000,
    });
    const open = seatByQuadraticProgramme(pair(0.3, 0.1), solveQP);
    expect(open.gap).toEqual([expect.closeTo(0.2, 12), expect.closeTo(0.2, 12)]);
    expect(open.value).toBeCloseTo(0.04, 12);
    // Both pressed, and stiff: energy K·g² for two springs.
    const pressed = seatByQuadraticProgramme(pair(-0.3, -0.1), solveQP);
    expect(pressed.gap).toEqual([expect.closeTo(-0.2, 12), expect.closeTo(-0.2, 12)]);
    expect(pressed.value).toBeCloseTo(40, 9);
  });
});

describe("first-order seating against the programme", () => {
  it("agrees for other press ratios", () => {
    const model = cellModel(squareCell(60, 3));
    const errors = randomErrors(model.cell, createStream(12), ORDINARY);
    for (const pressRatio of [2, 30, 1e4]) {
      const linear = linearSeating(model.cell, errors, pressRatio);
      const rest = restLinear(model.seating, model.nominal, freeGaps(model, errors), pressRatio);
      const programmed = seatByQuadraticProgramme(linear, solveQP);
      for (const [i, g] of rest.gap.entries()) expect(Math.abs(g - programmed.gap[i]!)).toBeLessThan(GAP);
    }
  });

  it("would notice a rest that is not one", () => {
    const model = cellModel(squareCell(60, 3));
    const errors = randomErrors(model.cell, createStream(13), ORDINARY);
    const linear = linearSeating(model.cell, errors);
    const soft = restLinear(model.seating, model.nominal, freeGaps(model, errors), 990);
    const programmed = seatByQuadraticProgramme(linear, solveQP);
    const apart = soft.gap.reduce((most, g, i) => Math.max(most, Math.abs(g - programmed.gap[i]!)), 0);
    expect(apart).toBeGreaterThan(GAP);
  });
});
