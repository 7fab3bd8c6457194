import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { type AsCut, asCutErrors } from "../../src/cutting/as-cut-errors.js";
import { errorLayout } from "../../src/cutting/error-layout.js";
import { predictCell } from "../../src/predict/predict-cell.js";
import { PRESS_RATIO } from "../../src/seating/seating-model.js";
import { DEGREE, squareCell } from "../../src/validate/support/cells.js";

/*
 * Pass rule: the fixtures were made by an independent implementation of the same model and rounded to 9 decimals, so ours must agree to half a unit of the last
 * plus rounding, 1e-9 mm, in both orders.
 */
const AGREES = 1e-9;

interface Fixture {
  readonly opening: number;
  readonly strip: number;
  readonly pressRatio: number;
  readonly asCut: AsCut;
  readonly gaps: readonly { joint: string; at: "toe" | "heel"; first: number; exact: number }[];
  readonly worstGap: number;
  readonly worstPress: number;
}

function fixture(name: string): Fixture {
  return JSON.parse(readFileSync(new URL(`fixtures/${name}.json`, import.meta.url), "utf8"));
}

/** The fixture's errors with its degrees as radians. */
function inRadians({ pieces = {}, walls = {} }: AsCut): AsCut {
  const mapValues = <A, B>(record: Readonly<Record<string, A>>, f: (value: A) => B) =>
    Object.fromEntries(Object.entries(record).map(([key, value]) => [key, f(value)]));
  return {
    pieces: mapValues(pieces, ({ cuts = {}, ...piece }) => ({
      ...piece,
      cuts: mapValues(cuts, ({ angle = 0, axial = 0 }) => ({ angle: angle * DEGREE, axial })),
    })),
    walls: mapValues(walls, ({ turn = 0, offset = 0 }) => ({ turn: turn * DEGREE, offset })),
  };
}

describe.each(["cell-blunt-tips", "cell-everything-off"])("the check cell %s", (name) => {
  const { opening, strip, pressRatio, asCut, gaps, worstGap, worstPress } = fixture(name);
  const cell = squareCell(opening, strip);
  const errors = asCutErrors(cell, inRadians(asCut));

  it.each(["first", "exact"] as const)("agrees gap by gap in %s order", (order) => {
    expect(pressRatio).toBe(PRESS_RATIO);
    const { probes } = predictCell(cell, errors, { order });
    const ours = new Map(probes.map(({ joint, at, gap }) => [`${joint} ${at}`, gap]));
    expect(ours.size).toBe(44);
    expect(gaps).toHaveLength(44);
    for (const expected of gaps) {
      const gap = ours.get(`${expected.joint} ${expected.at}`);
      expect(Math.abs(gap! - expected[order]), `${expected.joint} ${expected.at}`).toBeLessThan(AGREES);
    }
  });

  it("agrees in worst gap and worst press", () => {
    const prediction = predictCell(cell, errors);
    expect(Math.abs(prediction.worstGap - worstGap)).toBeLessThan(AGREES);
    expect(Math.abs(prediction.worstPress - worstPress)).toBeLessThan(AGREES);
  });

  it("would notice a hundredth of a degree in one cut", () => {
    const off = Float64Array.from(errors);
    off[errorLayout(cell).indexOf("angle", "hinge-1", "start-left")]! += 0.01 * DEGREE;
    const exact = new Map(gaps.map((expected) => [`${expected.joint} ${expected.at}`, expected.exact]));
    const differences = predictCell(cell, off).probes.map(({ joint, at, gap }) =>
      Math.abs(gap - exact.get(`${joint} ${at}`)!),
    );
    expect(Math.max(...differences)).toBeGreaterThan(1e5 * AGREES);
  });
});
