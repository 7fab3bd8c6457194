import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { cellSpecimen, jobSources } from "../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { isAngular } from "../../src/model/source-id.js";
import { type CellPrediction, predictCell } from "../../src/physics/predict/predict-cell.js";
import { accessibilityFaults } from "./axe.js";
import { closeQuietly, type OpenPage, openPage } from "./open-page.js";

const ROOT = resolve(import.meta.dirname, "../..");
const LEANING = join(ROOT, "data/leaning-ramp");
const DEGREE = Math.PI / 180;
const folder = mkdtempSync(join(tmpdir(), "sukima-lean-"));
const file = join(folder, "play.html");
const starter = join(folder, "starter.html");
const job = loadJob(LEANING);
const { cell, matrix } = cellSpecimen(job);
const sources = jobSources(job);
const leans = sources.flatMap(({ id }, i) => (id.kind === "lean" ? [i] : []));

beforeAll(() => {
  const page = [join(ROOT, "dist/cli/main.js"), "page"];
  execFileSync(process.execPath, [...page, "--job", LEANING, "--out", file]);
  execFileSync(process.execPath, [...page, "--out", starter]);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let open: OpenPage;
closeQuietly(() => open);

/** What the library says of the cell whose sources stand as the sliders do; the grid is left alone. */
async function ofLibrary(page: Page): Promise<CellPrediction> {
  const values: number[] = [];
  for (const i of sources.keys())
    values.push(Number(await page.locator(`#source-${i}`).getAttribute("data-value")));
  const p = sources.length;
  const errors = Float64Array.from({ length: matrix.length / p }, (_, row) =>
    sources.reduce(
      (sum, { id }, c) => sum + values[c]! * (isAngular(id.kind) ? DEGREE : 1) * matrix[row * p + c]!,
      0,
    ),
  );
  return predictCell(cell, errors, job);
}

async function expectSide(page: Page, { probes }: CellPrediction, side: "front" | "back") {
  const shown = await page
    .locator("#rows td")
    .evaluateAll((all) =>
      all.map((one) => Number((one as unknown as { dataset: Record<string, string> }).dataset.gap)),
    );
  const own = probes.filter((probe) => probe.side === side);
  expect(shown).toHaveLength(own.length);
  for (const [i, { gap }] of own.entries()) expect(Math.abs(shown[i]! - gap)).toBeLessThan(1e-6);
}

async function turn(page: Page, source: number, key: string, times: number): Promise<void> {
  await page.locator(`#source-${source}`).focus();
  for (let i = 0; i < times; i++) await page.keyboard.press(key);
}

describe.each([390, 1200])("a page whose ramps may lean, %i px wide", (width) => {
  it("has the library's numbers at the front and at the back", async () => {
    open = await openPage(file, { width, height: 844 });
    const { page } = open;
    await turn(page, leans[2]!, "ArrowRight", 8);
    await turn(page, leans[0]!, "ArrowLeft", 3);
    await turn(page, 1, "ArrowRight", 5);
    const prediction = await ofLibrary(page);
    await expectSide(page, prediction, "front");
    await page.getByRole("radio", { name: "the back, seen through" }).check();
    await expectSide(page, prediction, "back");
    expect(Number(await page.locator("#cell").getAttribute("data-widest-gap"))).toBeCloseTo(
      prediction.widestGap,
      6,
    );
    expect(await page.locator("#side-shown").textContent()).toBe(", back");
    expect(await page.locator("#drawn").textContent()).toContain("the back, seen through");
    const half = prediction.probes.length / 2;
    const apart = prediction.probes
      .slice(0, half)
      .map(({ gap }, i) => gap - prediction.probes[half + i]!.gap);
    expect(Math.max(...apart.map(Math.abs))).toBeGreaterThan(0.05);
  });

  it("is clean to an accessibility checker and does not scroll sideways", async () => {
    open = await openPage(file, { width, height: 844 });
    await turn(open.page, leans[2]!, "ArrowRight", 8);
    expect(await accessibilityFaults(open.page)).toEqual([]);
    expect(await open.page.evaluate("document.documentElement.scrollWidth")).toBeLessThanOrEqual(width);
  });
});

it("a page without a job has leans to play with, and says which way", async () => {
  open = await openPage(starter);
  const { page } = open;
  const slider = page.getByRole("slider", { name: "Lean of bevel-22", exact: true });
  await slider.focus();
  for (let i = 0; i < 8; i++) await page.keyboard.press("ArrowLeft");
  expect(await slider.getAttribute("aria-valuetext")).toBe("0.40° out at the back");
  // Outward at the back: tight there, open at the front.
  expect(await page.locator("#verdict").textContent()).toMatch(
    /Widest gap 0\.1\d+ mm at the toe, front, of hinge/,
  );
});
