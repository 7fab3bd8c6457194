import { describe, expect, it } from "vitest";
import { errorLayout } from "../../src/cutting/error-layout.js";
import { asanohaSquare } from "../../src/lattice/asanoha-square.js";
import type { Cell } from "../../src/lattice/cell.js";
import { compileCell } from "../../src/lattice/compile-cell.js";
import { createStream } from "../../src/numeric/random-stream.js";
import { predictCell } from "../../src/predict/predict-cell.js";
import type { Order } from "../../src/predict/settle.js";
import { SIZES, squareCell } from "../../src/validate/support/cells.js";
import {
  HALF_TURN,
  imageOfErrors,
  imageOfJoint,
  MIRROR,
  sortedJoint,
} from "../../src/validate/support/images.js";
import { ORDINARY, randomErrors } from "../../src/validate/support/random-errors.js";
import { turned } from "../../src/validate/support/turned.js";

const ORDERS = ["first", "exact"] as const;

function gapsOf(cell: Cell, errors: Float64Array, order: Order, nameOf = sortedJoint): Map<string, number> {
  const { probes } = predictCell(cell, errors, { order });
  return new Map(probes.map(({ joint, at, gap }) => [`${nameOf(joint)} ${at}`, gap]));
}

function largestDifference(a: Map<string, number>, b: Map<string, number>): number {
  expect([...a.keys()].sort()).toEqual([...b.keys()].sort());
  return Math.max(...[...a].map(([place, gap]) => Math.abs(gap - b.get(place)!)));
}

const CELL = squareCell(60, 3);
const DRAWS = 25;

describe.each([
  ["mirrored across the diagonal", MIRROR],
  ["turned by half a turn", HALF_TURN],
] as const)("errors %s", (_, image) => {
  it.each(ORDERS)("leave the gaps mirrored or turned alike, in %s order", (order) => {
    const stream = createStream(81);
    for (let k = 0; k < DRAWS; k++) {
      const errors = randomErrors(CELL, stream, ORDINARY);
      const there = gapsOf(CELL, imageOfErrors(CELL, errors, image), order);
      const here = gapsOf(CELL, errors, order, (joint) => imageOfJoint(joint, image));
      expect(largestDifference(here, there)).toBeLessThan(1e-10);
    }
  });

  it("come back when it is done twice", () => {
    const errors = randomErrors(CELL, createStream(82), ORDINARY);
    expect(imageOfErrors(CELL, imageOfErrors(CELL, errors, image), image)).toEqual(errors);
    expect(imageOfErrors(CELL, errors, image)).not.toEqual(errors);
  });
});

it("a mirror that forgot the sense of turns would be noticed", () => {
  const errors = randomErrors(CELL, createStream(83), ORDINARY);
  const careless = gapsOf(CELL, imageOfErrors(CELL, errors, { ...MIRROR, sense: 1 }), "first");
  const here = gapsOf(CELL, errors, "first", (joint) => imageOfJoint(joint, MIRROR));
  expect(largestDifference(here, careless)).toBeGreaterThan(1e-3);
});

describe("a cell scaled in every length", () => {
  it.each(ORDERS)("scales its gaps, in %s order", (order) => {
    const stream = createStream(84);
    const { entries } = errorLayout(CELL);
    for (const factor of [0.1, 1 / 3, 25.4]) {
      const scaled = squareCell(60 * factor, 3 * factor);
      for (let k = 0; k < DRAWS; k++) {
        const errors = randomErrors(CELL, stream, ORDINARY);
        const grown = errors.map((e, i) =>
          entries[i]!.kind === "angle" || entries[i]!.kind === "turn" ? e : factor * e,
        );
        const there = gapsOf(scaled, grown, order);
        const here = new Map([...gapsOf(CELL, errors, order)].map(([place, gap]) => [place, factor * gap]));
        expect(largestDifference(here, there)).toBeLessThan(1e-10 * Math.max(1, factor));
      }
    }
  });
});

describe("a cell that lies turned", () => {
  it.each(ORDERS)("has the same gaps, in %s order", (order) => {
    const stream = createStream(85);
    const square = asanohaSquare({ opening: 60, strip: 3 });
    for (let k = 1; k <= DRAWS; k++) {
      const cell = compileCell(turned(square, 0.77 * k));
      const errors = randomErrors(CELL, stream, ORDINARY);
      const difference = largestDifference(gapsOf(CELL, errors, order), gapsOf(cell, errors, order));
      expect(difference).toBeLessThan(1e-10);
    }
  });
});

describe("a cell without errors", () => {
  it.each(SIZES)("of %f mm in %f mm strip has no gap, no press and no open area", (opening, strip) => {
    const cell = squareCell(opening, strip);
    for (const order of ORDERS) {
      const prediction = predictCell(cell, new Float64Array(71), { order });
      expect(prediction.probes).toHaveLength(44);
      for (const { gap } of prediction.probes) expect(Math.abs(gap)).toBeLessThan(1e-14 * opening);
      expect(prediction.worstGap).toBeLessThan(1e-14 * opening);
      expect(prediction.worstPress).toBeLessThan(1e-14 * opening);
      expect(prediction.openArea).toBeLessThan(1e-12 * opening);
      expect(prediction.firstOrderDifference).toBeLessThan(1e-14 * opening);
    }
  });
});
