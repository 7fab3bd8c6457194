import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { createStream } from "../../src/core/numeric/random-stream.js";
import { cellSpecimen, jobSources } from "../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { errorLayout, rackedGrid, smallerSide } from "../../src/model/cell/cell-errors.js";
import { predictCell } from "../../src/physics/predict/predict-cell.js";
import { accessibilityFaults } from "./axe.js";
import { closeQuietly, type OpenPage, openPage } from "./open-page.js";

const ROOT = resolve(import.meta.dirname, "../..");
const DEMO = join(ROOT, "data/alcove-screen");
const folder = mkdtempSync(join(tmpdir(), "sukima-page-"));
const file = join(folder, "play.html");
const job = loadJob(DEMO);
const { cell, matrix } = cellSpecimen(job);
const sources = jobSources(job).filter(({ id }) => ["ramp", "stop", "thickness"].includes(id.kind));

beforeAll(() => {
  execFileSync(process.execPath, [join(ROOT, "dist/cli/main.js"), "page", "--job", DEMO, "--out", file]);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let open: OpenPage;
closeQuietly(() => open);

/** What the library says of the page's sliders as they stand: sources as the job has them, then the grid. */
async function libraryGaps(page: Page, trims: Readonly<Record<string, number>> = {}) {
  const values = await page
    .locator(".slider input[type=range]")
    .evaluateAll((inputs) =>
      inputs.map((input) => Number((input as unknown as { dataset: Record<string, string> }).dataset.value)),
    );
  const degree = Math.PI / 180;
  const columns = jobSources(job).length;
  const { entries, indexOf } = errorLayout(cell);
  const errors = Float64Array.from(entries, (_, row) =>
    sources.reduce((sum, { id: { kind } }, c) => {
      const size = values[c]! * (kind === "ramp" ? degree : 1);
      return sum + size * matrix[row * columns + c]!;
    }, 0),
  );
  const [racking, opening] = values.slice(sources.length) as [number, number];
  for (const [e, slope] of rackedGrid(cell).entries()) errors[e]! += racking * degree * slope;
  for (const [e, slope] of smallerSide(cell).entries()) errors[e]! += opening * slope;
  for (const { name, cuts } of cell.pieces) {
    for (const { face, end } of cuts)
      if (end === 1) errors[indexOf("axial", name, face)]! -= trims[name] ?? 0;
  }
  return { values, prediction: predictCell(cell, errors, job) };
}

async function expectLibraryNumbers(page: Page, trims: Readonly<Record<string, number>> = {}) {
  const { values, prediction } = await libraryGaps(page, trims);
  const shown = await page
    .locator("#rows td")
    .evaluateAll((cells) =>
      cells.map((one) => Number((one as unknown as { dataset: Record<string, string> }).dataset.gap)),
    );
  expect(shown).toHaveLength(prediction.probes.length);
  for (const [i, { gap }] of prediction.probes.entries())
    expect(Math.abs(shown[i]! - gap)).toBeLessThan(1e-6);
  const svg = page.locator("#cell");
  expect(Math.abs(Number(await svg.getAttribute("data-widest-gap")) - prediction.widestGap)).toBeLessThan(
    1e-6,
  );
  expect(
    Math.abs(Number(await svg.getAttribute("data-deepest-press")) - prediction.deepestPress),
  ).toBeLessThan(1e-6);
  return { values, prediction };
}

describe.each([390, 1200])("the page to play with, %i px wide", (width) => {
  it("has the library's numbers when sliders are moved by keyboard", async () => {
    open = await openPage(file, { width, height: 844 });
    const { page } = open;
    await expectLibraryNumbers(page);
    const inputs = page.locator(".slider input[type=range]");
    const stream = createStream(20 + width);
    for (let k = 0; k < (await inputs.count()); k++) {
      await inputs.nth(k).focus();
      const key = stream.uniform() < 0.5 ? "ArrowRight" : "ArrowLeft";
      for (let i = stream.integer(14); i >= 0; i--) await page.keyboard.press(key);
      if (stream.uniform() < 0.3) await page.keyboard.press("PageUp");
      const { values } = await expectLibraryNumbers(page);
      expect(values[k]).not.toBe(0);
    }
    await inputs.first().focus();
    await page.keyboard.press("End");
    const { values, prediction } = await expectLibraryNumbers(page);
    expect(values[0]).toBe(2);
    expect(prediction.widestGap).toBeGreaterThan(0.02);
  });

  it("has the library's numbers when sliders are moved by pointer", async () => {
    open = await openPage(file, { width, height: 844 });
    const { page } = open;
    const inputs = page.locator(".slider input[type=range]");
    for (let k = 0; k < (await inputs.count()); k++) {
      // Clear of the drawing that stays in sight at the top.
      await inputs.nth(k).evaluate((input) => {
        (input as unknown as { scrollIntoView(where: object): void }).scrollIntoView({ block: "center" });
      });
      const box = (await inputs.nth(k).boundingBox())!;
      const y = box.y + box.height / 2;
      await page.mouse.move(box.x + box.width / 2, y);
      await page.mouse.down();
      await page.mouse.move(box.x + box.width * (k % 2 === 0 ? 0.7 : 0.36), y, { steps: 5 });
      await page.mouse.up();
      const { values } = await expectLibraryNumbers(page);
      expect(Math.sign(values[k]!), `slider ${k}`).toBe(k % 2 === 0 ? 1 : -1);
    }
  });

  it("is clean to an accessibility checker, as opened and with a poor cell", async () => {
    open = await openPage(file, { width, height: 844 });
    expect(await accessibilityFaults(open.page)).toEqual([]);
    await open.page.locator("#example").selectOption({ index: 4 });
    expect(await accessibilityFaults(open.page)).toEqual([]);
  });

  it("has the checker find what is wrong: a slider without its label", async () => {
    open = await openPage(file, { width, height: 844 });
    await open.page.evaluate("document.querySelector('.slider label').remove()");
    expect(await accessibilityFaults(open.page)).not.toEqual([]);
  });

  it("does not hide what has the focus behind the drawing", async () => {
    open = await openPage(file, { width, height: 844 });
    const { page } = open;
    for (let i = 0; i < 32; i++) {
      await page.keyboard.press("Tab");
      const hidden = await page.evaluate(`(() => {
        const { x, y, width, height } = document.activeElement.getBoundingClientRect();
        const there = document.elementFromPoint(x + width / 2, y + Math.min(height / 2, 12));
        const hidden = document.activeElement !== document.body && there !== null && there.closest("#look") !== null;
        return hidden ? document.activeElement.outerHTML.slice(0, 100) : "";
      })()`);
      expect(hidden).toBe("");
    }
  });

  it("does not scroll sideways", async () => {
    open = await openPage(file, { width, height: 844 });
    expect(await open.page.evaluate("document.documentElement.scrollWidth")).toBeLessThanOrEqual(width);
  });
});

describe("the page to play with", () => {
  it("tells a screen reader the widest gap once the sliders stand still, and what each slider stands at", async () => {
    open = await openPage(file);
    const { page } = open;
    const slider = page.getByRole("slider", { name: "Ramp of point-67", exact: true });
    await slider.focus();
    for (let i = 0; i < 20; i++) await page.keyboard.press("ArrowRight");
    expect(await slider.getAttribute("aria-valuetext")).toBe("1.00° sharper");
    const live = page.locator("#live");
    expect(await live.getAttribute("aria-live")).toBe("polite");
    await expect.poll(() => live.textContent()).toContain("Widest gap 0.09");
    expect(await page.locator("#cell desc").textContent()).toMatch(/Movements are drawn \d+ times as large/);
    expect(await page.locator("#drawn").textContent()).toMatch(/movements drawn × \d+/);
  });

  it("can be worked with the keyboard alone: every control is reached, in order, and is seen to have the focus", async () => {
    open = await openPage(file);
    const { page } = open;
    const wanted = await page
      .locator("main :is(input, select, button):not([hidden])")
      .evaluateAll((all) => all.map((one) => (one as unknown as { id: string; name: string }).id));
    const reached: string[] = [];
    do {
      await page.keyboard.press("Tab");
      const focused = (await page.evaluate(
        "[document.activeElement.id, getComputedStyle(document.activeElement).outlineStyle]",
      )) as [string, string];
      if (focused[0] !== "") expect(focused[1], focused[0]).not.toBe("none");
      reached.push(focused[0]);
    } while (
      reached.lastIndexOf("magnification") === reached.indexOf("magnification") &&
      reached.length < 100
    );
    // Radio buttons of one group are one stop, without an id.
    const once = reached.filter((id, i) => id !== "" && reached.indexOf(id) === i);
    expect(once).toEqual(wanted.filter((id) => id !== ""));
  });

  it("trims a piece by small steps until it goes in, to the library's numbers", async () => {
    open = await openPage(file);
    const { page } = open;
    const stop = page.getByRole("slider", { name: "Stop of diagonal-end", exact: true });
    await stop.focus();
    for (let i = 0; i < 30; i++) await page.keyboard.press("ArrowRight");
    const before = await expectLibraryNumbers(page);
    expect(before.prediction.deepestPress).toBeGreaterThan(job.limits.snug);
    await page.locator("#piece").selectOption("diagonal");
    await page.getByRole("button", { name: "Trim one step" }).click();
    await expectLibraryNumbers(page, { diagonal: 0.02 });
    await page.getByRole("button", { name: "Trim until it goes in" }).click();
    const said = await page.locator("#trimmed").textContent();
    const taken = Number(said?.match(/diagonal ([\d.]+) mm/)?.[1]);
    const after = await expectLibraryNumbers(page, { diagonal: taken });
    expect(after.prediction.deepestPress).toBeLessThanOrEqual(job.limits.snug);
    expect(said).toContain("It goes in");
    // One step less would not have done.
    const { prediction } = await libraryGaps(page, { diagonal: taken - 0.02 });
    expect(prediction.deepestPress).toBeGreaterThan(job.limits.snug);
    await page.getByRole("button", { name: "Put back" }).click();
    await expectLibraryNumbers(page);
  });

  it("shows inches without changing the cell", async () => {
    open = await openPage(file);
    const { page } = open;
    await page.locator("#example").selectOption({ index: 4 });
    const before = await page.locator("#cell").getAttribute("data-widest-gap");
    await page.getByRole("radio", { name: "inches" }).check();
    expect(await page.locator("#cell").getAttribute("data-widest-gap")).toBe(before);
    expect(await page.locator("#verdict").textContent()).toMatch(/Widest gap \d+\.\d thou/);
    expect(await page.locator("header").textContent()).toContain("2.3622 in");
    await expectLibraryNumbers(page);
  });

  it("takes what is typed, in the user's units and steps, and refuses what is no size", async () => {
    open = await openPage(file);
    const { page } = open;
    const field = page.getByRole("textbox", { name: "Stop of key-end, to type" });
    const slider = page.getByRole("slider", { name: "Stop of key-end", exact: true });
    await field.fill("4 thou shorter");
    await field.press("Enter");
    expect(Number(await slider.getAttribute("data-value"))).toBeCloseTo(-0.1016, 9);
    expect(await field.inputValue()).toBe("−0.10 mm");
    await expectLibraryNumbers(page);
    await page.getByRole("radio", { name: "inches" }).check();
    expect(await field.inputValue()).toBe("−4.0 thou");
    await slider.focus();
    await page.keyboard.press("ArrowLeft");
    expect(await field.inputValue()).toBe("−4.5 thou");
    expect(Number(await slider.getAttribute("data-value"))).toBeCloseTo(-4.5 * 0.0254, 6);
    await expectLibraryNumbers(page);
    await field.fill("9 in");
    await field.press("Enter");
    expect(await page.locator(".slider .fault:not(:empty)").textContent()).toMatch(/goes to ± 20\.0 thou/);
    expect(Number(await slider.getAttribute("data-value"))).toBeCloseTo(-4.5 * 0.0254, 6);
  });

  it("keeps its state in its address, which another page shows as it was", async () => {
    open = await openPage(file);
    const { page } = open;
    await page.locator("#example").selectOption({ index: 4 });
    await page.locator("#two").check();
    await page.getByRole("slider", { name: "Stop of diagonal-end", exact: true }).focus();
    for (let i = 0; i < 9; i++) await page.keyboard.press("ArrowRight");
    await page.getByRole("radio", { name: "inches" }).check();
    const link = await page.locator("#link").inputValue();
    expect(page.url()).toBe(link);
    const seen = () => page.locator("#verdict, #verdict-b, #rows").allTextContents();
    const before = await seen();
    await page.goto("about:blank");
    await page.goto(link);
    expect(await seen()).toEqual(before);
    expect(await page.locator("#refused").textContent()).toBe("");
    open.requests.length = 0;
  });

  it("leaves out what an address asks for that it does not have, and says so as text", async () => {
    open = await openPage(file);
    const { page } = open;
    const bare = page.url();
    await page.goto("about:blank");
    await page.goto(
      `${bare}#a.source-0=1&a.source-0x=1&unit=ft&b.source-1=%3Cimg+src%3Dx+onerror%3Dalert(1)%3E`,
    );
    expect(await page.locator("#source-0").getAttribute("data-value")).toBe("1");
    expect(await page.locator("#refused").textContent()).toMatch(/unit=ft, .*a\.source-0x=1/);
    expect(await page.locator("#refused img").count()).toBe(0);
    expect(page.url()).toBe(`${bare}#a.source-0=1`);
    open.requests.length = 0;
  });

  it("has two cells side by side, at one magnification, and the sliders change one of them", async () => {
    open = await openPage(file);
    const { page } = open;
    const gap = (id: string) => page.locator(id).getAttribute("data-widest-gap");
    await page.locator("#example").selectOption({ index: 4 });
    await page.locator("#two").check();
    const first = await gap("#cell");
    expect(await gap("#cell-b")).toBe(first);
    await page.locator("#all-zero").click();
    expect(await gap("#cell")).toBe(first);
    expect(Number(await gap("#cell-b"))).toBeLessThan(1e-9);
    await page.getByRole("radio", { name: "the first", exact: true }).check();
    await expectLibraryNumbers(page);
    expect(await page.locator("#verdict-b").textContent()).toContain("Second: The cell closes");
    await page.locator("#two").uncheck();
    expect(await page.locator("#cell-b").isVisible()).toBe(false);
    expect(await gap("#cell")).toBe(first);
  });

  it("has challenges that are won with one move and not with two", async () => {
    open = await openPage(file);
    const { page } = open;
    await page.locator("#challenge-0").click();
    const standing = page.locator("#standing");
    expect(await standing.textContent()).toMatch(/One ramp is off/);
    expect(await page.locator("#verdict").textContent()).not.toContain("The cell closes");
    await page.locator("#show-faults").click();
    const [, label, size, way] =
      /What was off: (Ramp of [\w-]+), ([\d.]+)° (\w+)\./.exec((await standing.textContent()) ?? "") ?? [];
    const back = way === "sharper" ? "blunter" : "sharper";
    const field = page.getByRole("textbox", { name: `${label}, to type` });
    await field.fill(`${size} ${back}`);
    await field.press("Enter");
    expect(await standing.textContent()).toMatch(/^Closed with one move/);
    expect(await page.locator("#verdict").textContent()).toContain("The cell closes");
    const stop = page.getByRole("textbox", { name: "Stop of key-end, to type" });
    await stop.fill("0.01 mm");
    await stop.press("Enter");
    expect(await standing.textContent()).not.toMatch(/one move/);
    await page.locator("#leave").click();
    expect(await standing.textContent()).toBe("");
    await expectLibraryNumbers(page);
  });

  it("keeps its table clear of the drawing on a phone", async () => {
    open = await openPage(file, { width: 390, height: 844 });
    const { page } = open;
    await page.locator("#rows tr").nth(4).scrollIntoViewIfNeeded();
    for (const row of [0, 4, 12, 21]) {
      const covered = await page.evaluate(`(() => {
        const row = document.querySelectorAll("#rows tr")[${row}];
        row.scrollIntoView({ block: "start" });
        const { x, y } = row.getBoundingClientRect();
        return document.elementFromPoint(x + 20, Math.max(y, 0) + 6)?.closest("#look") !== null;
      })()`);
      expect(covered, `row ${row}`).toBe(false);
    }
  });

  it("lets nothing out and nothing else in", async () => {
    open = await openPage(file);
    const { page } = open;
    const refused = await page.evaluate(
      "fetch('data:text/plain,x').then(() => 'got through', () => 'refused')",
    );
    expect(refused).toBe("refused");
    const ran = await page.evaluate(
      "(() => { const s = document.createElement('script'); s.textContent = 'window.foreign = 1'; document.body.append(s); return window.foreign; })()",
    );
    expect(ran).toBeUndefined();
    // Both attempts are complained of, and nothing else is.
    expect(open.complaints.length).toBeGreaterThan(0);
    for (const complaint of open.complaints) expect(complaint).toMatch(/Content Security Policy/);
    open.complaints.length = 0;
    open.requests.length = 0;
  });

  it("shows the cell, and says what is missing, without scripts", async () => {
    open = await openPage(file, { javaScript: false });
    expect(await open.page.locator("noscript").textContent()).toContain("need JavaScript");
    expect(await open.page.locator("#drawing polygon").count()).toBeGreaterThan(10);
    expect(await open.page.locator("#rows tr").count()).toBe(22);
  });

  it("prints the drawing, the settings and the table, not the buttons", async () => {
    open = await openPage(file);
    const { page } = open;
    await page.emulateMedia({ media: "print" });
    for (const shown of ["#cell", "#verdict", "#rows", "#source-0-size"])
      expect(await page.locator(shown).isVisible(), shown).toBe(true);
    for (const left of ["#print", "#source-0", "#trim-until"])
      expect(await page.locator(left).isVisible(), left).toBe(false);
  });

  it("is one small file that names no other", async () => {
    open = await openPage(file);
    expect(statSync(file).size).toBeLessThan(1_200_000);
    const text = readFileSync(file, "utf8");
    expect(text).not.toMatch(/(?:src|href)="(?!#)/);
    expect(text).not.toMatch(/https?:\/\/(?!www\.w3\.org)/);
  });
});
