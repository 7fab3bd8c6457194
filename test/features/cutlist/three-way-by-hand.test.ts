import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { planCuts } from "../../../src/features/cutlist/cut-list.js";
import { TRIANGLES } from "../panel/support/panel-job.js";

/** The page that works a three-way panel out by hand. */
const PAGE = readFileSync(resolve(import.meta.dirname, "../../../docs/cutlist.md"), "utf8");
const list = planCuts(TRIANGLES);
const line = (name: string) => list.lines.find((one) => one.name === name)!;
const places = (name: string) => list.laps.find((one) => one.name === name)!.places;

/** Worked out here from school geometry alone. */
const [opening, strip, border, rows, columns] = [60, 4, 12, 2, 5];
const sine = Math.sin(Math.PI / 3);
const pitch = opening + 2 * Math.sqrt(3) * (strip / 2);
const wide = ((columns + 1) * pitch) / 2;
const high = rows * pitch * sine - strip;
const slant = high / sine + strip / Math.tan(Math.PI / 3);

describe("a three-way panel by hand", () => {
  it("has the lengths and laps of the command", () => {
    const expected = {
      arm: opening / Math.sqrt(3),
      "grid strip, level": wide,
      "grid strip, falling": slant,
      "grid strip, rising": slant,
      "border, upright": high + 2 * border,
      "border, level": wide + 2 * border,
    };
    expect(list.lines.map(({ name }) => name)).toEqual(Object.keys(expected));
    for (const [name, finished] of Object.entries(expected)) {
      expect(line(name).finished).toBeCloseTo(finished, 9);
      expect(PAGE).toContain(`${finished.toFixed(2)} mm`);
      expect(line(name).rough).toBe(Math.ceil(finished + 5));
      expect(PAGE).toContain(String(line(name).rough));
    }
    for (const [k, place] of [0.5, 1.5, 2.5].entries()) {
      expect(places("grid strip, level")[k]).toBeCloseTo(place * pitch, 9);
      expect(PAGE).toContain((place * pitch).toFixed(2));
    }
    for (const name of ["grid strip, falling", "grid strip, rising"]) {
      expect(places(name)).toHaveLength(1);
      expect(places(name)[0]).toBeCloseTo(slant / 2, 9);
    }
    expect(PAGE).toContain((slant / 2).toFixed(2));
    expect(list.laps.map(({ layer }) => layer)).toEqual(["bottom", "middle", "top"]);
  });

  it("has its counts", () => {
    expect(list.lines.map(({ needed }) => needed)).toEqual([30, 1, 3, 3, 2, 2]);
    expect([list.cells, list.halves]).toEqual([10, 4]);
  });

  it("has its spares by the binomial distribution", () => {
    const choose = (n: number, k: number): number =>
      Array.from({ length: k }, (_, i) => (n - i) / (i + 1)).reduce((a, b) => a * b, 1);
    const p = 0.03;
    const enough = (needed: number, spares: number): number =>
      Array.from({ length: spares + 1 }, (_, k) => k).reduce(
        (sum, k) => sum + choose(needed + spares, k) * p ** k * (1 - p) ** (needed + spares - k),
        0,
      );
    expect(list.lines.map(({ spares }) => spares)).toEqual([4, 0, 1, 1, 1, 1]);
    const chances = list.lines.map(({ needed, spares }) => enough(needed, spares));
    for (const chance of chances) expect(PAGE).toContain(chance.toFixed(4));
    const together = chances.reduce((a, b) => a * b, 1);
    expect(list.sure).toBeCloseTo(together, 9);
    expect(PAGE).toContain(`together ${together.toFixed(3)}`);
  });

  it("has its sticks", () => {
    const { packed } = list.packed.find(({ stock }) => stock === "strips")!;
    const used = 206 + 8 * 137 + 34 * 40;
    expect(packed.used).toBe(used);
    expect(PAGE).toContain(`${used} mm of strips`);
    const filled = used + (1 + 8 + 34) * 1.2;
    expect(packed.least).toBeCloseTo((filled * 900) / (900 - 10 + 1.2), 6);
    expect(PAGE).toContain(`${Math.round(packed.least)} mm; the plan`);
    expect(packed.buy).toEqual([{ stock: 600, sticks: 5 }]);
    const left = 600 - 10 - (14 * 40 + 13 * 1.2);
    expect(packed.plans.map((plan) => plan.left.toFixed(1))).toContain(left.toFixed(1));
    expect(PAGE).toContain(`${left.toFixed(1)} mm left`);
  });
});
