import { describe, expect, it } from "vitest";
import { polygonOf, vec } from "../../../src/core/geometry.js";
import { FRESH_WOOD, recut } from "../../../src/features/cutlist/recut.js";
import type { Piece } from "../../../src/model/cell/arrangement.js";
import { facePlane, pieceFaces } from "../../../src/model/cell/cell.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import { polygonArea } from "../../core/polygon-area.js";
import { demoJob } from "../../inference/demo.js";

const { pieces, strip } = jobCell(demoJob);
const piece = (name: string): Piece => pieces.find((one) => one.name === name)!;
const DIAGONAL = piece("diagonal");
const HINGE = piece("hinge-1");
const KEY = piece("key-1");

describe("cutting a piece out of another", () => {
  it("keeps one point of a diagonal for a key, and leaves the rest", () => {
    const found = recut(DIAGONAL, KEY, strip)!;
    expect(found).toMatchObject({ from: "diagonal", to: "key", kept: "start", anew: ["key.end"] });
    // Both have the same points: what is left over is the difference of the lengths.
    expect(found.room).toBeCloseTo(DIAGONAL.length - KEY.length, 9);
  });

  it("cuts both ends of a hinge anew out of a diagonal", () => {
    const found = recut(DIAGONAL, HINGE, strip)!;
    expect(found.kept).toBeNull();
    expect([...found.anew].sort()).toEqual(["hinge.mitre", "hinge.point", "hinge.seat"]);
    expect(found.room).toBeGreaterThan(DIAGONAL.length - HINGE.length - strip);
  });

  it("is right by area: where it says how much room there is, that much and no more lies inside", () => {
    for (const [larger, smaller] of [
      [DIAGONAL, HINGE],
      [DIAGONAL, KEY],
      [HINGE, KEY],
    ] as const) {
      const { room } = recut(larger, smaller, strip)!;
      // A hair thinner, so that no two sides lie on one line.
      const planes = (one: Piece, shift: number, turn: number, thickness: number) =>
        pieceFaces({ ...one, origin: vec(shift, 0), axis: turn }, 0, thickness).map(facePlane);
      const outer = planes(larger, 0, 0, strip);
      const own = planes(smaller, 0, 0, strip - 1e-6);
      const whole = polygonArea(polygonOf(own));
      const area = (shift: number, turn: number): number =>
        polygonArea(polygonOf([...outer, ...planes(smaller, shift, turn, strip - 1e-6)]));
      // The stretch of shifts over which the whole smaller piece lies inside, looked for in steps, both ways round.
      const step = 0.05;
      const widest = Math.max(
        ...[0, Math.PI].map((turn) => {
          let inside = 0;
          for (let shift = -45; shift <= 45; shift += step)
            if (area(shift, turn) > whole - 1e-7) inside += step;
          return inside;
        }),
      );
      expect(Math.abs(widest - room)).toBeLessThan(2.5 * step);
    }
  });

  it("is no, where the smaller does not fit or no wood is left for its faces", () => {
    expect(recut(KEY, HINGE, strip)).toBeNull();
    const longKey = {
      ...KEY,
      length: DIAGONAL.length - FRESH_WOOD / 2,
      cuts: KEY.cuts.map((cut) => ({ ...cut, reach: (DIAGONAL.length - FRESH_WOOD / 2) / 2 })),
    };
    expect(recut(DIAGONAL, longKey, strip)).toBeNull();
    expect(recut(DIAGONAL, KEY, 2 * strip)).not.toBeNull();
  });
});
