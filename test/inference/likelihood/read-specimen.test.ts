import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { CellReader } from "../../../src/inference/likelihood/read-specimen.js";
import { cellSpecimen } from "../../../src/inference/likelihood/specimen.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium, solveWithSlopes } from "../../../src/physics/predict/equilibrium.js";
import { longIt } from "../../tools/longer.js";
import { demoJob } from "../demo.js";

describe("gaps looked up in regions met before", () => {
  const { cell, reader, betweenCutSd } = cellSpecimen(demoJob);
  const draw = (k: number): Float64Array => {
    const stream = createStream(3, k % 40);
    const wide = betweenCutSd.map((s) => s * stream.normal());
    // A short step from a cell met before: often, but not always, in its region.
    const near = createStream(4, k);
    return k < 40 ? wide : wide.map((e, i) => e + 0.02 * betweenCutSd[i]! * near.normal());
  };

  longIt("are those of the equilibrium solved anew, with their slopes", () => {
    const model = cellModel(cell);
    let pressedChanged = 0;
    let before = "";
    for (let k = 0; k < 120; k++) {
      const errors = draw(k);
      const { gap, slopesOf } = reader.linearGaps(errors, 1000);
      const { rest } = solveEquilibrium(model, errors, { order: "first", pressRatio: 1000 });
      for (const [i, g] of gap.entries()) expect(Math.abs(g - rest.gap[i]!)).toBeLessThan(1e-12);
      const anew = solveWithSlopes(model, errors, { order: "first", pressRatio: 1000 }).slopes;
      for (const probe of gap.keys()) {
        for (const [e, slope] of slopesOf(probe).entries())
          expect(Math.abs(slope - anew[probe * errors.length + e]!)).toBeLessThan(1e-9);
      }
      const signs = gap.map(Math.sign).join();
      if (signs !== before) pressedChanged++;
      before = signs;
    }
    expect(pressedChanged).toBeGreaterThan(40);
  });

  it("do not depend, by a single bit, on what was met before", () => {
    const fresh = draw(50);
    const first = new CellReader(cell).linearGaps(fresh, 1000);
    const again = new CellReader(cell);
    for (let k = 0; k < 60; k++) again.linearGaps(draw(k), 1000).slopesOf(k % 8);
    const later = again.linearGaps(fresh, 1000);
    expect(later.gap).toEqual(first.gap);
    for (const probe of first.gap.keys()) expect(later.slopesOf(probe)).toEqual(first.slopesOf(probe));
  });
});
