import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { arrangePattern } from "../../../src/io/patterns/arrange-pattern.js";
import { shippedPattern, shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { noErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { fitLengths, predictFitted } from "../../../src/physics/fitting/fit-lengths.js";
import { fittingPlan } from "../../../src/physics/fitting/fitting-plan.js";
import { FittedKernel } from "../../../src/physics/kernel/fitted-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { ORDINARY, randomErrors, squareCell } from "../../checks/validate/cells.js";

const SNUG = 0.02;
const arrangementOf = (opening: number, strip: number) => asanohaSquare({ opening, strip });

describe.each(shippedPatterns())("the pattern %s", (name) => {
  const cell = compileCell(arrangePattern(shippedPattern(name)).arrangement!);
  const model = cellModel(cell);

  it("can be fitted by trial from its own order, and the fast fit agrees", () => {
    const stream = createStream(12);
    const kernel = new FittedKernel(model, { snug: SNUG });
    const cells = Array.from({ length: 10 }, () => randomErrors(cell, stream, ORDINARY));
    for (const [k, errors] of cells.entries()) kernel.drawsOf(k).set(errors);
    kernel.seat(cells.length);
    for (const [k, cut] of cells.entries()) {
      const { errors, groups } = fitLengths(model, cut, { snug: SNUG, order: "first" });
      for (const { press } of groups) expect(press).toBeCloseTo(SNUG, 9);
      const { gap } = solveEquilibrium(model, errors, { order: "first" }).rest;
      for (let i = 0; i < model.readProbes; i++) expect(kernel.gap(k, i)).toBeCloseTo(gap[i]!, 8);
    }
    expect(kernel.unfitted).toBe(0);
  });

  it("trims every piece once", () => {
    const { groups } = fitLengths(model, noErrors(cell), { snug: SNUG, order: "first" });
    expect(groups.flatMap(({ pieces }) => pieces).sort()).toEqual(cell.pieces.map(({ name }) => name).sort());
    for (const { offset } of groups) expect(offset).toBeGreaterThan(0);
  });
});

describe("a prediction of a fitted cell", () => {
  const cell = squareCell(60, 3);
  const errors = randomErrors(cell, createStream(3), ORDINARY);

  it("says by how much the two orders differ, each fitted and seated by itself", () => {
    const [first, exact] = (["first", "exact"] as const).map((order) =>
      predictFitted(cell, errors, { snug: SNUG, order }),
    );
    const most = Math.max(...first!.probes.map(({ gap }, i) => Math.abs(gap - exact!.probes[i]!.gap)));
    expect(first!.firstOrderDifference).toBe(most);
    expect(exact!.firstOrderDifference).toBe(most);
    expect(most).toBeGreaterThan(0);
    expect(most).toBeLessThan(0.01);
    for (const [g, { offset }] of first!.groups.entries())
      expect(Math.abs(offset - exact!.groups[g]!.offset)).toBeLessThan(0.02);
  });

  it("tells the gaps of the errors that it gives back", () => {
    const { errors: fitted, probes, widestGap } = predictFitted(cell, errors, { snug: SNUG });
    const { gap } = solveEquilibrium(cellModel(cell), fitted, { order: "exact" }).rest;
    expect(probes.map((probe) => probe.gap)).toEqual([...gap]);
    expect(widestGap).toBe(Math.max(0, ...gap));
  });

  it("takes pieces left 3 mm too long, which no cell as cut could hold", () => {
    const long = errors.slice();
    for (const { trimmed } of fittingPlan(cell)) for (const place of trimmed) long[place]! += 3;
    expect(() => predictCell(cell, long)).toThrow();
    const [plain, shortened] = [errors, long].map((cut) => predictFitted(cell, cut, { snug: SNUG }));
    for (const [i, { gap }] of plain!.probes.entries()) expect(shortened!.probes[i]!.gap).toBeCloseTo(gap, 8);
  });

  it("of a cell whose cuts lean reads front and back", () => {
    const deep = compileCell({ ...arrangementOf(60, 3), depth: 12 });
    const leaning = randomErrors(deep, createStream(5), ORDINARY);
    const { probes, groups } = predictFitted(deep, leaning, { snug: SNUG });
    expect(probes).toHaveLength(88);
    for (const { press } of groups) expect(press).toBeCloseTo(SNUG, 9);
  });
});
