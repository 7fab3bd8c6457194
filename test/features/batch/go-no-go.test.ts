import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { goNoGoSizes } from "../../../src/features/batch/go-no-go.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { type AsCut, asCutErrors } from "../../../src/model/cell/cell-errors.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";

const demo = loadJob(join(import.meta.dirname, "../../../data/alcove-screen"));
/** Nothing scatters, so that a cell closes or not by its lengths alone. */
const still = { ...demo, betweenCutSd: { angle: 0, length: 0, thickness: 0 }, grid: { offset: 0, turn: 0 } };
const cell = jobCell(still);

/** Whether a cell with these differences of length (mm, by kind) closes: by the one forward function of the project. */
function closes(by: Readonly<Record<string, number>>): boolean {
  const pieces = Object.fromEntries(
    cell.pieces.map(({ name, kind, cuts }) => [
      name,
      { cuts: Object.fromEntries(cuts.map(({ face, end }) => [face, { axial: end === 1 ? by[kind]! : 0 }])) },
    ]),
  );
  const { widestGap, deepestPress } = predictCell(cell, asCutErrors(cell, { pieces } as AsCut), {
    order: "first",
  });
  return widestGap <= still.limits.gap && deepestPress <= still.limits.snug;
}

describe("go and no-go sizes where nothing else scatters", () => {
  const { pieces, closesAtNominal, closesAtWorst } = goNoGoSizes(still, { draws: 1 });

  it("let every cell close whose lengths lie between them", () => {
    expect([closesAtNominal, closesAtWorst]).toEqual([1, 1]);
    const stream = createStream(4);
    for (let draw = 0; draw < 60; draw++) {
      const by = pieces.map(({ kind, nominal, master, allowance }) => [
        kind,
        master + (2 * stream.uniform() - 1) * allowance - nominal,
      ]);
      expect(closes(Object.fromEntries(by))).toBe(true);
    }
  });

  it("are as far apart as they may be: a tenth more, and some cell stays open or pressed", () => {
    const wider = (share: number): boolean[] =>
      Array.from({ length: 2 ** pieces.length }, (_, bits) =>
        closes(
          Object.fromEntries(
            pieces.map(({ kind, nominal, go, noGo }, i) => [
              kind,
              share * (((bits >> i) & 1 ? go : noGo) - nominal),
            ]),
          ),
        ),
      );
    expect(wider(1)).not.toContain(false);
    expect(wider(1.1)).toContain(false);
  });

  it("lie about the master, the no-go below the nominal and the go above", () => {
    for (const { noGo, nominal, go, master, allowance } of pieces) {
      expect(noGo).toBeLessThan(nominal);
      expect(go).toBeGreaterThan(nominal);
      expect(master + allowance).toBeCloseTo(go, 12);
      expect(master - allowance).toBeCloseTo(noGo, 12);
    }
  });
});

describe("go and no-go sizes where angles and grid scatter", () => {
  it("come closer together, and keep their promise", () => {
    const options = { draws: 60, lost: 0.1 };
    const calm = goNoGoSizes(still, options);
    const rough = goNoGoSizes({ ...demo, betweenCutSd: { ...demo.betweenCutSd, angle: 0.003 } }, options);
    expect(rough.closesAtWorst).toBeGreaterThanOrEqual(rough.closesAtNominal - 0.1 - 1e-9);
    for (const [i, { allowance }] of rough.pieces.entries())
      expect(allowance).toBeLessThan(calm.pieces[i]!.allowance);
  });
});
