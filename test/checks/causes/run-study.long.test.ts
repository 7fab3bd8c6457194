import { describe, expect, it } from "vitest";
import { job } from "../../features/explain/invented-cell.js";
import { runStudy } from "./run-study.js";
import { studyFigures } from "./study-figures.js";

const study = runStudy(job, { count: 60, seed: 3, instrument: "shim-strips", bank: 10_000 });
const figures = studyFigures(study);

describe("a small study of explanations (60 cells with one cause)", () => {
  it("says what is true as often as it says so, within 99 % bounds", () => {
    expect(figures.withOne).toBe(60);
    for (const bin of figures.calibration)
      expect(bin, `${bin.from} to ${bin.to}`).toMatchObject({ within: true });
  });

  it("chooses as well as the best possible classifier, to one cell in ten", () => {
    const { identified } = figures.firstChoice;
    expect(identified.cells).toBeGreaterThan(8);
    expect(Math.abs(identified.explained - identified.best) * identified.cells).toBeLessThanOrEqual(
      identified.cells / 10 + 1,
    );
  });

  // Two routes to one posterior: importance sampling about modes, and a bank of cells from the prior.
  it("gives the probabilities of the best classifier, as far as 10,000 cells a hypothesis tell", () => {
    expect(figures.difference.median).toBeLessThan(0.08);
    expect(figures.logScore.explained).toBeGreaterThan(figures.logScore.best - 0.1);
  });

  it("would notice an overconfident explanation", () => {
    const sure = study.cells.map((cell) => {
      const squared = cell.explained.map((p) => p ** 4);
      const total = squared.reduce((a, b) => a + b, 0);
      return { ...cell, explained: squared.map((p) => p / total) };
    });
    const { calibration } = studyFigures({ ...study, cells: sure });
    expect(calibration.some(({ within }) => !within)).toBe(true);
  });
});
