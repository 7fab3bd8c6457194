import { describe, expect, it } from "vitest";
import { rowOf } from "../../../src/core/numeric/dense.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { contributionsAt } from "../../../src/features/explain/cell-draws.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { specimen } from "./invented-cell.js";

const { reader, cell } = specimen;
const size = errorLayout(cell).entries.length;
const layout = errorLayout(cell);
const pressRatio = 1000;
const nominal = new Float64Array(cell.probes.length);

/** A cell with some errors by cause, seated in an order. */
function drawn(parts: Float64Array, order: "first" | "exact") {
  const errors = new Float64Array(size);
  for (const [k, value] of parts.entries()) errors[k % size]! += value;
  return { parts, errors, gaps: reader.seatOne(errors, { order, pressRatio }).gap.slice() };
}

describe("what each cause adds to a gap", () => {
  // model.md, closed form: a diagonal whose whole length is short by s leaves (s/2)·cos 45° at each end's faces.
  it("is the closed form of a short diagonal, beside a cause that does nothing there", () => {
    const parts = new Float64Array(2 * size);
    const short = 0.08;
    for (const face of ["start-left", "start-right", "end-left", "end-right"] as const)
      parts[layout.indexOf("axial", "diagonal", face)] = -short / 2;
    const probe = cell.probes.findIndex(({ joint }) => joint.name === "diagonal.start-left|wall-left");
    const [first, second] = contributionsAt(reader, drawn(parts, "first"), [probe], { pressRatio, nominal });
    expect(first).toBeCloseTo((short / 2) * Math.SQRT1_2, 9);
    expect(second).toBe(0);
  });

  it.each(["first", "exact"] as const)(
    "adds up to the gap to rounding in %s order, whatever is open or pressed",
    (order) => {
      const stream = createStream(5);
      const all = cell.probes.map((_, probe) => probe);
      for (let trial = 0; trial < 20; trial++) {
        const parts = stream.fill(new Float64Array(4 * size));
        for (const [k, value] of parts.entries()) parts[k] = 0.5 * value * specimen.betweenCutSd[k % size]!;
        const draw = drawn(parts, order);
        const shares = contributionsAt(reader, draw, all, { pressRatio, nominal });
        for (const probe of all) {
          const sum = rowOf(shares, probe, 4).reduce((a, b) => a + b, 0);
          expect(Math.abs(sum - draw.gaps[probe]!)).toBeLessThan(1e-13);
        }
      }
    },
  );

  // Aumann and Shapley by brute force: the slope by central differences, averaged along the path.
  it("is the slope averaged along the straight path from the perfect cell", () => {
    const stream = createStream(9);
    const parts = stream.fill(new Float64Array(2 * size));
    for (const [k, value] of parts.entries()) parts[k] = value * specimen.betweenCutSd[k % size]!;
    const draw = drawn(parts, "first");
    const probe = draw.gaps.indexOf(Math.max(...draw.gaps));
    const [share] = contributionsAt(reader, draw, [probe], { pressRatio, nominal });
    const gapAt = (t: number, more: number): number => {
      const errors = draw.errors.map((e, i) => t * e + more * parts[i]!);
      return reader.seatOne(errors, { order: "first", pressRatio }).gap[probe]!;
    };
    const steps = [0.125, 0.375, 0.625, 0.875];
    const averaged = steps.reduce(
      (sum, t) => sum + (gapAt(t, 1e-4) - gapAt(t, -1e-4)) / 2e-4 / steps.length,
      0,
    );
    expect(share).toBeCloseTo(averaged, 6);
  });
});
