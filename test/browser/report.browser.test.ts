import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { loadJob } from "../../src/io/job/load-job.js";
import { jobCell } from "../../src/model/job/job-cell.js";
import { predictCell } from "../../src/physics/predict/predict-cell.js";
import { errorDirections } from "../../src/physics/sensitivity/error-directions.js";
import { directionText } from "../../src/render/source-text.js";
import { accessibilityFaults } from "./axe.js";
import { closeQuietly, type OpenPage, openPage } from "./open-page.js";

const ROOT = resolve(import.meta.dirname, "../..");
const NAMES = ["00-start-here", "05-how-much-does-an-angle-matter"];
const folder = mkdtempSync(join(tmpdir(), "sukima-report-"));
const file = (name: string): string => join(folder, `${name}.html`);

beforeAll(() => {
  for (const name of NAMES) {
    const args = ["notebook", name, "--job", join(ROOT, "data/alcove-screen"), "--out", folder];
    execFileSync(process.execPath, [join(ROOT, "dist/cli/main.js"), ...args], { stdio: "pipe" });
  }
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let open: OpenPage;
closeQuietly(() => open);

describe.each(NAMES)("the page of notebook %s", (name) => {
  it.each([390, 1200])("is clean to an accessibility checker and no wider than %i px", async (width) => {
    open = await openPage(file(name), { width });
    await open.page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true");
    expect(await accessibilityFaults(open.page)).toEqual([]);
    expect(await open.page.evaluate("document.documentElement.scrollWidth")).toBeLessThanOrEqual(width);
  });
});

it("opens the answer to an exercise with the keyboard, and has it folded before", async () => {
  open = await openPage(file(NAMES[1]!));
  const answer = open.page.locator("details.answer").first();
  const figure = answer.locator("p", { hasText: "Face length: half the stock" });
  expect(await figure.isVisible()).toBe(false);
  await answer.locator("> summary").focus();
  await open.page.keyboard.press("Enter");
  expect(await figure.isVisible()).toBe(true);
});

it("has the page to play with in it, live: a slider moved by keyboard opens the model's gap, and nothing leaves the page", async () => {
  open = await openPage(file(NAMES[1]!));
  const frame = open.page.frameLocator("iframe.sukima-live");
  const slider = frame.getByRole("slider", { name: "Ramp of point-67", exact: true });
  await slider.focus();
  for (let i = 0; i < 20; i++) await open.page.keyboard.press("ArrowRight");
  expect(await slider.getAttribute("aria-valuetext")).toBe("1.00° sharper");
  const job = loadJob(join(ROOT, "data/alcove-screen"));
  const cell = jobCell(job);
  const ramp = errorDirections(cell).find(({ id }) => directionText(id) === "ramp 67.5°")!;
  const degree = Math.PI / 180;
  const { widestGap } = predictCell(
    cell,
    ramp.errors.map((slope) => slope * degree),
    job,
  );
  const shown = Number(await frame.locator("#cell").getAttribute("data-widest-gap"));
  expect(Math.abs(shown - widestGap)).toBeLessThan(1e-6);
  expect(widestGap).toBeGreaterThan(0.05);
});
