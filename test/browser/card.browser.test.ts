import { execFileSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { accessibilityFaults } from "./axe.js";
import { closeQuietly, type OpenPage, openPage } from "./open-page.js";

const ROOT = resolve(import.meta.dirname, "../..");
const folder = mkdtempSync(join(tmpdir(), "sukima-card-"));
const file = (name: string): string => join(folder, `${name}.html`);
const sukima = (...args: string[]): void => {
  execFileSync(process.execPath, [join(ROOT, "dist/cli/main.js"), ...args], { stdio: "pipe" });
};

beforeAll(() => {
  sukima("card", join(ROOT, "data/alcove-screen"), "--out", file("demo"));
  sukima("new", join(folder, "inches"), "--units", "in");
  sukima("card", join(folder, "inches"), "--out", file("inches"));
  // More is to be said of a job whose pieces are fitted by trial.
  cpSync(join(ROOT, "data/alcove-screen"), join(folder, "fitted"), { recursive: true });
  const job = join(folder, "fitted/job.yaml");
  writeFileSync(job, readFileSync(job, "utf8").replace(/^pattern:/m, "lengths: fitted\npattern:"));
  sukima("card", join(folder, "fitted"), "--out", file("fitted"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let open: OpenPage;
closeQuietly(() => open);

/** Pages of a printed sheet, and its size in points. */
async function printed({ page }: OpenPage): Promise<{ pages: number; width: number; height: number }> {
  const text = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
  const [, width, height] = /\/MediaBox \[\s*0 0 ([\d.]+) ([\d.]+)\s*\]/.exec(text)!;
  return { pages: text.match(/\/Type \/Page\b/g)!.length, width: Number(width), height: Number(height) };
}

describe("the printed card", () => {
  it.each([
    ["demo", 148 / 25.4, 210 / 25.4],
    ["fitted", 148 / 25.4, 210 / 25.4],
    ["inches", 5.5, 8.5],
  ])(
    "of %s fills one side of a sheet of half the printer's paper, with the names on two more",
    async (name, width, height) => {
      open = await openPage(file(name));
      const sheet = await printed(open);
      // The card, the names of the cell and its pieces, those of the benches.
      expect(sheet.pages).toBe(3);
      expect(sheet.width / 72).toBeCloseTo(width, 1);
      expect(sheet.height / 72).toBeCloseTo(height, 1);
    },
  );

  it("is clean to an accessibility checker, and fits a phone", async () => {
    open = await openPage(file("demo"), { width: 390, height: 800 });
    expect(await accessibilityFaults(open.page)).toEqual([]);
    expect(await open.page.evaluate("document.documentElement.scrollWidth")).toBeLessThanOrEqual(390);
  });
});
