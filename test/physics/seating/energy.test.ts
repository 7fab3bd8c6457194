import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { faceStates } from "../../../src/physics/predict/face-states.js";
import {
  acceptedRest,
  energy,
  gradient,
  hessian,
  readSigns,
  SIGN_BAND,
  springs,
} from "../../../src/physics/seating/energy.js";
import { restExact } from "../../../src/physics/seating/rest-exact.js";
import { evaluateGaps, newEvaluation } from "../../../src/physics/seating/seating-model.js";
import { ORDINARY, randomErrors, squareCell } from "../../checks/validate/cells.js";
import { ownEnergy, ownGaps } from "../../checks/validate/seating-exact.js";
import { userError } from "../../user-error.js";

const cell = squareCell(60, 3);
const { seating } = cellModel(cell);
const stream = createStream(41);
const errors = randomErrors(cell, stream, ORDINARY);
const states = faceStates(cell, errors);
const somewhere = Float64Array.from({ length: 21 }, (_, i) => (i % 3 === 2 ? 1e-3 : 0.02) * stream.normal());

/** Gaps, signs and springs at a pose. */
function at(pose: Float64Array) {
  const evaluation = newEvaluation(seating);
  evaluateGaps(seating, states.angle, states.offset, pose, evaluation);
  const pressed = new Uint8Array(evaluation.gap.length);
  readSigns(evaluation.gap, pressed);
  return { evaluation, spring: springs(seating, pressed, 1000) };
}

/** Central differences of a list of numbers by each coordinate of the pose. */
function differences(f: (pose: Float64Array) => ArrayLike<number>, step: number): number[][] {
  return Array.from(somewhere, (_, k) => {
    const moved = (sign: number) => somewhere.map((q, i) => (i === k ? q + sign * step : q));
    const [plus, minus] = [f(moved(1)), f(moved(-1))];
    return Array.from(plus, (p, i) => (p - minus[i]!) / (2 * step));
  });
}

describe("the signs of the gaps", () => {
  it("are read where a gap is larger than the band", () => {
    const pressed = Uint8Array.of(0, 1, 0, 1);
    expect(readSigns(Float64Array.of(-1, 1, 1, -1), pressed)).toBe(true);
    expect([...pressed]).toEqual([1, 0, 0, 1]);
    expect(readSigns(Float64Array.of(-1, 1, 1, -1), pressed)).toBe(false);
  });

  it("are kept within it", () => {
    const within = [0, -0, SIGN_BAND, -SIGN_BAND, SIGN_BAND / 2, -SIGN_BAND / 2];
    for (const sign of [0, 1]) {
      const pressed = Uint8Array.from(within, () => sign);
      expect(readSigns(Float64Array.from(within), pressed)).toBe(false);
      expect([...pressed]).toEqual(within.map(() => sign));
    }
    const pressed = Uint8Array.of(0, 1);
    expect(readSigns(Float64Array.of(-1.01 * SIGN_BAND, 1.01 * SIGN_BAND), pressed)).toBe(true);
    expect([...pressed]).toEqual([1, 0]);
  });

  it("have a band of 1e-13 mm, as the model says", () => {
    expect(SIGN_BAND).toBe(1e-13);
  });
});

describe("the energy", () => {
  it("is that of the gaps read by another road", () => {
    const { evaluation, spring } = at(somewhere);
    const own = ownEnergy(cell, ownGaps(cell, errors, somewhere));
    expect(energy(evaluation.gap, spring) / own).toBeCloseTo(1, 10);
  });

  it("has the gradient of its central differences", () => {
    const { evaluation, spring } = at(somewhere);
    const force = gradient(seating, evaluation, spring);
    const slopes = differences((pose) => [ownEnergy(cell, ownGaps(cell, errors, pose))], 1e-7);
    for (const [k, f] of force.entries()) {
      // Curvature 1000 · 3 mm · (60 mm)² over a step of 1e-7, where a sign changes within it.
      expect(Math.abs(f - slopes[k]![0]!) / (1 + Math.abs(f))).toBeLessThan(1e-5);
    }
  });

  it("has the second derivatives of its gradient's differences", () => {
    const { evaluation, spring } = at(somewhere);
    const exact = hessian(seating, evaluation, spring, true);
    const columns = differences((pose) => {
      const there = at(pose);
      return gradient(seating, there.evaluation, there.spring);
    }, 1e-8);
    const scale = Math.max(...exact);
    for (const [k, column] of columns.entries()) {
      for (const [i, slope] of column.entries()) {
        expect(Math.abs(exact[i * 21 + k]! - slope) / scale).toBeLessThan(1e-6);
      }
    }
    const straight = hessian(seating, evaluation, spring, false);
    const left = columns.flat().map((slope, i) => Math.abs(straight[i]! - slope) / scale);
    expect(Math.max(...left)).toBeGreaterThan(1e-5);
  });
});

describe("a rest", () => {
  const rest = restExact(seating, states.angle, states.offset, new Float64Array(21));

  it("is accepted where the forces balance, with the imbalance it has", () => {
    const { evaluation, spring } = at(rest.pose);
    const accepted = acceptedRest(seating, evaluation, spring, rest.pose, 7);
    expect(accepted.iterations).toBe(7);
    expect(accepted.imbalance).toBeLessThan(1e-8);
    expect(accepted.imbalance).toBe(rest.imbalance);
  });

  it("is refused a hundredth of a micrometre away, however few the steps", () => {
    const off = rest.pose.map((q, i) => (i === 0 ? q + 1e-5 : q));
    const { evaluation, spring } = at(off);
    expect(() => acceptedRest(seating, evaluation, spring, off, 1)).toThrow(userError("seating"));
    expect(() => acceptedRest(seating, evaluation, spring, off, 1)).toThrow(/do not balance/);
  });

  it("is refused when its forces are not numbers", () => {
    const { evaluation, spring } = at(rest.pose);
    evaluation.gap[3] = Number.NaN;
    expect(() => acceptedRest(seating, evaluation, spring, rest.pose, 1)).toThrow(userError("seating"));
  });
});
