import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { SensibleCells } from "../../../src/inference/forecast/sensible-cells.js";
import { cellSpecimen } from "../../../src/inference/likelihood/specimen.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { orNothing } from "../../../src/physics/predict/cell-model.js";
import { requireFacesMeet, requireSensibleErrors } from "../../../src/physics/predict/predict-cell.js";
import { demoJob } from "../demo.js";

const { cell } = cellSpecimen(demoJob);
const { entries } = errorLayout(cell);
const sensible = new SensibleCells(cell);
const closed = new Float64Array(cell.probes.length);

const examined = (errors: Float64Array): boolean =>
  orNothing(() => {
    requireSensibleErrors(cell, errors);
    requireFacesMeet(cell, errors, closed);
    return true;
  }) ?? false;

/** Errors of so many degrees and tenths of a millimetre. */
const drawn = (size: number, seed: number): Float64Array => {
  const stream = createStream(seed);
  return Float64Array.from(
    entries,
    ({ kind }) => size * stream.normal() * (kind === "angle" || kind === "turn" ? Math.PI / 180 : 0.1),
  );
};

describe("whether the faces of a cell meet", () => {
  for (const [size, seeds] of [
    [0.2, 20],
    [1, 60],
    [2, 60],
    [4, 60],
  ] as const)
    it(`is answered as by examining each, for errors of ${size}° and ${size / 10} mm`, () => {
      for (let seed = 0; seed < seeds; seed++) {
        const errors = drawn(size, seed);
        expect(sensible.areSensible(errors, closed)).toBe(examined(errors));
      }
    });

  it("is not always yes", () => {
    const answers = Array.from({ length: 60 }, (_, seed) => examined(drawn(4, seed)));
    expect(answers).toContain(false);
    expect(answers).toContain(true);
  });

  it("is no where a gap gapes by half the strip, or an error is not a number", () => {
    const errors = drawn(0.2, 1);
    expect(sensible.areSensible(errors, closed)).toBe(true);
    expect(sensible.areSensible(errors, closed.with(0, 0.6 * cell.strip))).toBe(false);
    expect(sensible.areSensible(errors.with(0, Number.NaN), closed)).toBe(false);
  });
});
