import { describe, expect, it } from "vitest";
import { mysteryFiles, mysteryOf } from "../../../src/features/mystery/make-mystery.js";
import { MYSTERY_LEVELS } from "../../../src/features/mystery/mystery-job.js";
import { BUDGET, priceOf } from "../../../src/features/mystery/mystery-plan.js";
import { shownText, studentSheets } from "../../../src/features/mystery/student-sheet.js";

const key = { seed: 7, faults: 2 };
const READ = {
  rulers: ["angle", "length", "thickness"],
  feeler: ["gap"],
  cell: ["gap"],
  budget: ["angle", "gap", "length", "thickness"],
};

describe.each(MYSTERY_LEVELS)("the level %s", (level) => {
  const made = mysteryOf({ ...key, level });

  it("lets be read what its name says, with the instruments for it and no others", () => {
    const { readings, job } = made;
    expect([...new Set(readings.map(({ what }) => what))].sort()).toEqual(READ[level]);
    const used = new Set(readings.map(({ instrument }) => instrument));
    expect(job.instruments.map(({ name }) => name).sort()).toEqual([...used].sort());
    if (level === "cell") expect(readings.every(({ bench }) => bench === "cell")).toBe(true);
  });

  it("has a folder whose table has what was read, or with a budget what can be bought", () => {
    const files = mysteryFiles(made);
    const rows = (files["trials.csv"] ?? "").trim().split("\n").length - 1;
    expect(rows).toBe(level === "budget" ? 0 : made.readings.length);
    expect(files["menu.csv"] !== undefined).toBe(level === "budget");
  });

  it("has a sheet with every reading and the drawing of names", () => {
    const units = level === "cell" ? "in" : "mm";
    const mystery = mysteryOf({ ...key, level, units });
    const page = studentSheets([mystery]);
    const text = page.replaceAll(/<svg[\s\S]*?<\/svg>/g, "").replaceAll(/<[^>]+>/g, "");
    // The cell, and the benches where a reading is taken on one; each for paper and for a phone.
    const onBench = level === "feeler" || level === "budget";
    expect(page.match(/<svg/g)?.length).toBe(onBench ? 4 : 2);
    expect(text).toContain("Mystery 7");
    expect(text).toContain(units === "mm" ? "Opening " : "1/8");
    if (level === "budget") for (const { id } of mystery.readings) expect(text).toContain(`${id} (`);
    else {
      const shown = mystery.readings.map((reading) => shownText(reading, mystery.job));
      const cells = [...page.matchAll(/<td>(?:<small>\w+<\/small> )?([^<]*)<\/td>/g)].map(([, cell]) =>
        String(cell).replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("\u00A0", " "),
      );
      for (const one of new Set(shown)) {
        const often = (list: readonly string[]): number => list.filter((cell) => cell === one).length;
        expect(often(cells), one).toBe(often(shown));
      }
    }
    expect(page).not.toMatch(/<script|http-equiv="refresh"|src="http/);
  });
});

describe("a budget", () => {
  it("is less than everything costs, and more than the cheapest readings of every cause", () => {
    const { readings } = mysteryOf({ ...key, level: "budget" });
    const all = readings.reduce((sum, reading) => sum + priceOf(reading), 0);
    expect(all).toBeGreaterThan(3 * BUDGET);
    expect(readings.filter(({ what }) => what === "angle").length).toBeLessThan(BUDGET);
  });
});
