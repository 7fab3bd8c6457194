import { describe, expect, it } from "vitest";
import { lossesOfGaps, pieceProbes } from "../../../src/inference/decision/cell-loss.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import { demoJob } from "../demo.js";

const job = {
  limits: { gap: 0.1, snug: 0.02 },
  lengths: "as-cut",
  costs: { openCell: 1, tightPiece: 0.2, loosePiece: 0.3, gap: 0.1, adjusting: 0.5, trial: 1, cells: 20 },
} as const;
const cell = jobCell(demoJob);

/** Gaps of a cell in which all is closed but what is named: mm by the beginning of a joint's name. */
const gapsOf = (named: Record<string, number>): Float64Array =>
  Float64Array.from(
    cell.probes,
    ({ joint }) => Object.entries(named).find(([start]) => joint.name.startsWith(start))?.[1] ?? 0,
  );
const lossAt = (
  named: Record<string, number>,
  terms: Omit<typeof job, "lengths"> & { lengths: string } = job,
) => lossesOfGaps(pieceProbes(cell), () => gapsOf(named), 1, terms as typeof job, [1])[0]![0]!;

describe("the loss of a cell, in scrapped pieces over the batch", () => {
  it("is nothing where every joint is just closed, or pressed no more than the snug limit", () => {
    expect(lossAt({})).toBe(0);
    expect(lossAt({ key: -0.02 })).toBe(0);
  });

  it("counts a gap for each piece that shows it, and an open cell once more", () => {
    // A joint with a wall shows on one piece, a mitre on two.
    expect(lossAt({ "diagonal.end-left": 0.05 })).toBeCloseTo(20 * 0.1 * 0.5, 12);
    expect(lossAt({ "hinge-1.end-right|hinge-2": 0.05 })).toBeCloseTo(2 * 20 * 0.1 * 0.5, 12);
    expect(lossAt({ "diagonal.end-left": 0.15 })).toBeCloseTo(20 * (1 + 0.1 * 1.5), 12);
    expect(lossAt({ "diagonal.end-left": 5 })).toBeCloseTo(20 * (1 + 0.1 * 3), 12);
  });

  it("counts a piece that will not go in by its press, and of two only the one put in later", () => {
    expect(lossAt({ "diagonal.end-left": -0.03 })).toBeCloseTo(20 * 0.2 * 1.5, 12);
    expect(lossAt({ "hinge-1.end-right|hinge-2": -0.03 })).toBeCloseTo(20 * 0.2 * 1.5, 12);
    expect(lossAt({ "diagonal.end-left": -5 })).toBeCloseTo(20 * 0.2 * 5, 12);
    // Trimming is part of the work where pieces are fitted by trial.
    expect(lossAt({ "diagonal.end-left": -5 }, { ...job, lengths: "fitted" })).toBe(0);
  });

  it("counts a piece that rattles: open at both ends; not one that touches at either", () => {
    const looks = 20 * 0.1 * (0.04 / 0.1);
    expect(lossAt({ "diagonal.end": 0.04 })).toBeCloseTo(looks, 12);
    // 0.02 mm of play at one end, 0.04 mm at the other.
    expect(lossAt({ "diagonal.end": 0.04, "diagonal.start": 0.02 })).toBeCloseTo(looks + 20 * 0.3 * 0.6, 12);
    expect(lossAt({ "diagonal.end": 0.08, "diagonal.start": 0.08 })).toBeCloseTo(2 * looks + 20 * 0.3, 12);
  });

  it("sees hinges a thousandth short all round, which no widest gap shows", () => {
    const short = lossAt({ hinge: 0.025, key: 0.025 });
    expect(short).toBeGreaterThan(lossAt({ "hinge-1.end-right|hinge-2": 0.025 }) * 5);
  });

  it("is taken at other limits from the same gaps", () => {
    const gaps = gapsOf({ "diagonal.end-left": 0.15 });
    const [own, twice] = lossesOfGaps(pieceProbes(cell), () => gaps, 1, job, [1, 2]).map(
      (losses) => losses[0]!,
    );
    expect(own).toBeCloseTo(20 * (1 + 0.1 * 1.5), 12);
    expect(twice).toBeCloseTo(20 * 0.1 * 0.75, 12);
  });
});
