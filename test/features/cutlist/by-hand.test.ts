import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { planCuts } from "../../../src/features/cutlist/cut-list.js";
import { demoJob } from "../../inference/demo.js";

/** The page that works the demonstration screen out by hand. */
const PAGE = readFileSync(resolve(import.meta.dirname, "../../../docs/cutlist.md"), "utf8");
const list = planCuts(demoJob);
const line = (name: string) => list.lines.find((one) => one.name === name)!;
const setting = (group: string): number => list.setUps.find((one) => one.group === group)!.setting!;

/** Worked out here from school geometry alone. */
const [opening, strip, border, rows, columns] = [60, 4, 12, 5, 4];
const degrees = (x: number): number => (x * Math.PI) / 180;
const radius = ((opening - strip / Math.SQRT2) * (2 - Math.SQRT2)) / 2;
const beyond = (Math.cos(degrees(22.5)) / Math.SQRT2 - 0.5) * strip;
const toCentre = radius / Math.sin(degrees(22.5));
const shift = beyond * Math.tan(degrees(22.5));

describe("the demonstration screen by hand", () => {
  it("has the lengths and stops of the command", () => {
    expect(line("diagonal").finished).toBeCloseTo(opening * Math.SQRT2, 9);
    expect(line("hinge").finished).toBeCloseTo(toCentre - shift, 9);
    expect(line("key").finished).toBeCloseTo(radius * Math.SQRT2 + beyond / Math.cos(degrees(22.5)), 9);
    expect(setting("hinge.mitre")).toBeCloseTo(toCentre, 9);
    expect(setting("hinge.seat")).toBeCloseTo(toCentre - 2 * shift, 9);
    expect(setting("diagonal.end")).toBeCloseTo(opening * Math.SQRT2, 9);
    for (const mm of [
      line("diagonal").finished,
      line("hinge").finished,
      setting("hinge.mitre"),
      setting("hinge.seat"),
    ])
      expect(PAGE).toContain(`${mm.toFixed(2)} mm`);
    expect(PAGE).toContain(line("key").finished.toFixed(2));
  });

  it("has its counts, its grid and its border", () => {
    const cells = rows * columns;
    expect(list.cells).toBe(cells);
    expect([line("diagonal"), line("hinge"), line("key")].map(({ needed }) => needed)).toEqual([20, 80, 40]);
    const clear = (n: number): number => n * opening + (n - 1) * strip;
    const expected = {
      "grid strip, upright": [columns - 1, clear(rows)],
      "grid strip, level": [rows - 1, clear(columns)],
      "border, upright": [2, clear(rows) + 2 * border],
      "border, level": [2, clear(columns) + 2 * border],
    };
    for (const [name, [needed, finished]] of Object.entries(expected)) {
      expect(line(name)).toMatchObject({ needed, finished });
      expect(PAGE).toContain(`${finished!.toFixed(2)} mm`);
      expect(line(name).rough).toBe(finished! + 5);
      expect(PAGE).toContain(String(line(name).rough));
    }
    expect(list.laps.map(({ places }) => places[0])).toEqual([62, 62]);
    expect(list.laps[0]!.places[1]! - list.laps[0]!.places[0]!).toBe(64);
    expect(PAGE).toContain("62.00 mm");
    expect(["diagonal", "hinge", "key"].map((name) => line(name).rough)).toEqual([90, 49, 30]);
  });

  it("has its spares by the binomial distribution", () => {
    const choose = (n: number, k: number): number =>
      Array.from({ length: k }, (_, i) => (n - i) / (i + 1)).reduce((a, b) => a * b, 1);
    const p = 0.03;
    const enough = (needed: number, spares: number): number => {
      const n = needed + spares;
      return Array.from({ length: spares + 1 }, (_, k) => choose(n, k) * p ** k * (1 - p) ** (n - k)).reduce(
        (a, b) => a + b,
        0,
      );
    };
    const chances = list.lines.map(({ needed, spares }) => enough(needed, spares));
    const together = chances.reduce((a, b) => a * b, 1);
    expect(list.lines.every(({ scrap }) => Math.abs(scrap - p) < 1e-12)).toBe(true);
    expect(list.lines.map(({ spares }) => spares)).toEqual([3, 6, 4, 1, 1, 1, 1]);
    expect(list.sure).toBeCloseTo(together, 9);
    for (const chance of chances) expect(PAGE).toContain(chance.toFixed(4));
    expect(PAGE).toContain(together.toFixed(3));
    for (const [i, { needed, spares }] of list.lines.entries())
      expect((together / chances[i]!) * enough(needed, spares - 1)).toBeLessThan(0.95);
  });

  it("has its sticks", () => {
    const { packed } = list.packed.find(({ stock }) => stock === "strips")!;
    const used = 4 * 321 + 5 * 257 + 23 * 90 + 86 * 49 + 44 * 30;
    expect(packed.used).toBe(used);
    expect(PAGE).toContain(`${used} mm, ${(used / 1000).toFixed(2)} m`);
    const filled = used + (4 + 5 + 23 + 86 + 44) * 1.2;
    const fewest = Math.ceil(filled / (900 - 10 + 1.2));
    expect(packed.buy).toEqual([{ stock: 900, sticks: fewest }]);
    expect(packed.least).toBeCloseTo((filled * 1200) / (1200 - 10 + 1.2), 6);
    expect(PAGE).toContain(`${Math.round(packed.least)} mm`);
    const left = 900 - 10 - (17 * 49 + 30 + 17 * 1.2);
    const plan = packed.plans.find(({ pieces }) => pieces.some(({ count }) => count === 17))!;
    expect(plan.left).toBeCloseTo(left, 9);
    expect(PAGE).toContain(`${left.toFixed(1)} mm left`);
  });
});
