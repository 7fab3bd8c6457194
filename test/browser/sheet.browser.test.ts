import { execFileSync, spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { CAUTIONS } from "../../src/render/cautions.js";
import { accessibilityFaults } from "./axe.js";
import { closeQuietly, type OpenPage, openPage } from "./open-page.js";

const ROOT = resolve(import.meta.dirname, "../..");
const DEMO = join(ROOT, "data/alcove-screen");
const folder = mkdtempSync(join(tmpdir(), "sukima-sheet-"));
const file = (name: string): string => join(folder, `${name}.html`);
const sukima = (...args: string[]) =>
  spawnSync(process.execPath, [join(ROOT, "dist/cli/main.js"), ...args], { encoding: "utf8" });

/** A fit takes seconds, and many times that where the machine is busy. */
const LONG = { timeout: 110_000 };

beforeAll(() => {
  execFileSync(process.execPath, [join(ROOT, "dist/cli/main.js"), "sheet", DEMO, "--out", file("demo")]);
  execFileSync(process.execPath, [join(ROOT, "dist/cli/main.js"), "sheet", "--out", file("empty")]);
  mkdirSync(join(folder, "planned"));
  cpSync(join(DEMO, "job.yaml"), join(folder, "planned/job.yaml"));
  sukima("plan", join(folder, "planned"), "--trials", "5", "--out", join(folder, "planned/trials.csv"));
  sukima("sheet", join(folder, "planned"), "--out", file("planned"));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let open: OpenPage;
closeQuietly(() => open);

const go = (page: Page, view: string) => page.locator("nav").getByRole("button", { name: view }).click();

/** Starts the calculation and waits for what it prints. */
async function printed(page: Page): Promise<string> {
  await go(page, "Answer");
  await page.getByRole("button", { name: "What should I move?" }).click();
  const figures = page.locator("#printed");
  await figures.waitFor({ state: "attached", ...LONG });
  return (await figures.textContent()) ?? "";
}

/** A file that the page saves, as text. */
async function saved(page: Page, name: RegExp): Promise<string> {
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    page.getByRole("button", { name }).click(),
  ]);
  return readFileSync(await download.path(), "utf8");
}

const textOf = async (page: Page, selector: string): Promise<string> =>
  (await page.locator(selector).first().textContent()) ?? "";

/** How many readings are taken, as the page says it. */
const tally = (page: Page) => textOf(page, ".count");

/** Takes the current reading: the third leaf goes in and the fourth does not, or the example as a value. */
async function takeReading(page: Page): Promise<void> {
  const leaves = page.locator(".leaves button[data-leaf]");
  if ((await leaves.count()) > 0) {
    await leaves.nth(2).click();
    await leaves.nth(3).click();
    return;
  }
  const example = (await textOf(page, "#example")).replace(/^.*Type it as /, "");
  await page.locator("#value").fill(example.split(" or ")[0]!.replace(/\.$/, ""));
  await page.getByRole("button", { name: "Save" }).click();
}

/** Opens the first trial with such a reading, and goes to it. */
async function openTask(page: Page, hasText: string): Promise<void> {
  const trial = page.locator(".trial", { has: page.locator(".task", { hasText }) }).first();
  if ((await trial.getAttribute("open")) === null) await trial.locator("summary").click();
  await trial.locator(".task", { hasText }).first().click();
}

describe("the bench page on a phone", () => {
  it("takes 20 readings, keeps them through a reload, saves and opens them, and has the answer of the command line", async () => {
    open = await openPage(file("planned"), { width: 390, height: 844 });
    const { page } = open;
    page.on("dialog", (dialog) => void dialog.accept());
    await go(page, "Readings");
    for (let taken = 0; taken < 20; taken++) {
      if ((await page.locator(".now[data-index]").count()) === 0) {
        const trials = page.locator(".trial");
        await trials
          .nth(taken % 5)
          .locator("summary")
          .click();
        await trials
          .nth(taken % 5)
          .getByRole("button", { name: "Cut another like this" })
          .click();
      }
      await takeReading(page);
      expect(await tally(page)).toMatch(new RegExp(`^\\s*${taken + 1} of`));
    }
    const before = await tally(page);
    await page.reload();
    expect(await tally(page)).toBe(before);

    const here = await printed(page);
    await go(page, "Files");
    const copy = join(folder, "copied/planned");
    mkdirSync(copy, { recursive: true });
    writeFileSync(join(copy, "job.yaml"), await saved(page, /^Save job.yaml/));
    writeFileSync(join(copy, "trials.csv"), await saved(page, /^Save trials.csv/));
    expect(readFileSync(join(copy, "job.yaml"), "utf8")).toBe(readFileSync(join(DEMO, "job.yaml"), "utf8"));
    expect(readFileSync(join(copy, "trials.csv"), "utf8").trim().split("\n")).toHaveLength(21);
    expect(sukima("calibrate", copy, "--details").stdout).toBe(here);
    const other = sukima("calibrate", copy, "--details", "--seed", "2").stdout;
    expect(other).not.toBe(here);

    // The same files in a page that has none.
    await open.close();
    open = await openPage(file("empty"), { width: 390, height: 844 });
    await go(open.page, "Files");
    await open.page.locator("#open").setInputFiles([join(copy, "job.yaml"), join(copy, "trials.csv")]);
    await open.page.getByText("20 readings").first().waitFor();
    expect(await printed(open.page)).toBe(here);
  }, 400_000);

  it("keeps what was answered, and says when readings have changed since", async () => {
    open = await openPage(file("demo"), { width: 390, height: 844 });
    const { page } = open;
    page.on("dialog", (dialog) => void dialog.accept());
    const here = await printed(page);
    expect(here).toBe(sukima("calibrate", DEMO, "--details").stdout);
    await page.getByText(/^Worked out in \d+\.\d s on this device\.$/).waitFor();
    await page.reload();
    expect(await page.locator("#printed").textContent()).toBe(here);
    expect(await page.locator(".stale").count()).toBe(0);
    await go(page, "Readings");
    await page.locator(".trial summary").first().click();
    await page.locator(".trial").first().getByRole("button", { name: "Remove" }).click();
    await go(page, "Answer");
    await expect.poll(() => page.locator(".stale").count()).toBe(1);
  }, 200_000);

  it("refuses a reading in the words of the command line, and keeps the rest", async () => {
    open = await openPage(file("planned"), { width: 390, height: 844 });
    const { page } = open;
    await go(page, "Readings");
    await openTask(page, "Length");
    const index = Number(await page.locator(".now").getAttribute("data-index"));
    const refused = join(folder, "refused");
    mkdirSync(refused, { recursive: true });
    cpSync(join(DEMO, "job.yaml"), join(refused, "job.yaml"));
    const [heading, ...rows] = readFileSync(join(folder, "planned/trials.csv"), "utf8").trim().split("\n");
    const cells = rows[index]!.split(",");
    const value = heading!.split(",").indexOf("value");
    for (const typed of ["84,8,5", "-3", "12 2/1", "5 furlongs"]) {
      await page.locator("#value").fill(typed);
      await page.keyboard.press("Enter");
      const said = await textOf(page, "#fault");
      expect(await tally(page)).toMatch(/^\s*0 of/);
      expect(await page.locator("#value").inputValue()).toBe(typed);
      cells[value] = `"${typed}"`;
      writeFileSync(join(refused, "trials.csv"), `${heading}\n${cells.join(",")}\n`);
      const { stderr, status } = sukima("calibrate", refused);
      expect(status).toBe(1);
      for (const sentence of said.split(/ (?=Right would be: )/)) expect(stderr).toContain(sentence);
    }
    const example = (await textOf(page, "#example")).replace(/^.*Type it as /, "");
    await page.locator("#value").fill(`${(Number.parseFloat(example) / 25.4).toFixed(4)} in`);
    await page.keyboard.press("Enter");
    expect(await tally(page)).toMatch(/^\s*1 of/);
  });

  it("takes a feeler reading in two taps or one, and no leaf thinner than the one that went in", async () => {
    open = await openPage(file("demo"), { width: 390, height: 844 });
    const { page } = open;
    await go(page, "Readings");
    await openTask(page, "Gap");
    const leaf = (name: string) => page.locator(".leaves").getByRole("button", { name, exact: true });
    await leaf("0.05 mm").click();
    expect(await textOf(page, ".leaves legend")).toContain("0.05 mm goes in");
    await leaf("0.03 mm").click();
    expect(await textOf(page, "#fault")).toContain("the interval is reversed");
    await leaf("0.05 mm").click();
    await leaf("0.06 mm").click();
    const read = await page.locator(".trial[open] .task", { hasText: "0.05 mm goes in, 0.06 mm does not" });
    const index = await read.first().getAttribute("data-index");
    await read.first().click();
    await leaf("Nothing goes in").click();
    expect(await textOf(page, `.task[data-index="${index}"]`)).toContain("nothing goes in: 0.02 mm does not");
  });

  it("works without a pointer", async () => {
    open = await openPage(file("planned"), { width: 390, height: 844 });
    const { page } = open;
    const focused = () => page.evaluate("document.activeElement?.textContent ?? ''") as Promise<string>;
    const tabTo = async (text: string): Promise<void> => {
      for (let i = 0; i < 60 && (await focused()).trim() !== text; i++) await page.keyboard.press("Tab");
      expect((await focused()).trim()).toBe(text);
    };
    await tabTo("Readings");
    await page.keyboard.press("Enter");
    for (let i = 0; i < 60 && (await page.evaluate("document.activeElement?.id")) !== "value"; i++)
      await page.keyboard.press("Tab");
    const example = (await textOf(page, "#example")).replace(/^.*Type it as /, "");
    await page.keyboard.type(example.split(" or ")[0]!.replace(/\.$/, ""));
    await page.keyboard.press("Enter");
    expect(await tally(page)).toMatch(/^\s*1 of/);
    expect(await page.evaluate("document.activeElement?.id")).toBe("now");
  });
});

describe("the shop as a form", () => {
  it("goes from nothing to a planned inch shop, and refuses what cannot be in the words of the command line", async () => {
    open = await openPage(file("empty"), { width: 390, height: 844 });
    const { page } = open;
    await page.locator("#title").fill("Porch screen");
    await page.getByLabel("inches").check();
    await page.getByRole("button", { name: "Set up the shop" }).click();
    const opening = page.locator('[data-field="opening"]');
    await opening.fill("2 5/16");
    await opening.blur();
    const strip = page.locator('[data-field="strip"]');
    await strip.fill("1/8 cubits");
    await strip.blur();
    const said = await textOf(page, ".fault");
    await strip.fill("0.118");
    await strip.blur();
    expect(await page.locator(".fault").count()).toBe(0);
    await go(page, "Files");
    const job = await saved(page, /^Save job.yaml/);
    expect(job).toMatch(/^opening: 2 5\/16/m);
    expect(job).toMatch(/^strip: 0.118/m);
    const typed = join(folder, "typed");
    mkdirSync(typed);
    writeFileSync(join(typed, "job.yaml"), job.replace("strip: 0.118", "strip: 1/8 cubits"));
    const { stderr } = sukima("predict", typed);
    for (const sentence of said.split(/ (?=Right would be: )/)) expect(stderr).toContain(sentence);
    writeFileSync(join(typed, "job.yaml"), job);
    expect(sukima("predict", typed).status).toBe(0);

    await go(page, "Readings");
    await page.locator("#now").waitFor(LONG);
    expect(await tally(page)).toMatch(/^\s*0 of \d+ readings/);
    expect(await textOf(page, "main")).not.toMatch(/\d mm\b/);
  }, 200_000);
});

describe("the bench page", () => {
  it("can be stopped while it reckons, with nothing changed", async () => {
    open = await openPage(file("demo"), { width: 390, height: 844 });
    const { page } = open;
    await go(page, "Answer");
    await page.getByRole("button", { name: "What should I move?" }).click();
    await page.getByRole("button", { name: "Stop" }).click();
    expect(await textOf(page, "#fault")).toContain("Stopped");
    expect(await page.locator("#printed").count()).toBe(0);
  });

  it("can reach no network, not from its thread either", async () => {
    let asked = 0;
    const server = createServer((_, response) => {
      asked++;
      response.end();
    }).listen(0, "127.0.0.1");
    await new Promise((listening) => server.once("listening", listening));
    const address = `http://127.0.0.1:${(server.address() as AddressInfo).port}/`;
    open = await openPage(file("demo"), { width: 390, height: 844 });
    const { page } = open;
    const tried = (await page.evaluate(`(async () => {
      const from = (what) => what.then(() => "reached", () => "refused");
      const code = 'fetch(${JSON.stringify(address)}).then(() => postMessage("reached"), () => postMessage("refused"))';
      const worker = new Worker(URL.createObjectURL(new Blob([code])));
      const image = new Promise((yes, no) => { const i = new Image(); i.onload = yes; i.onerror = no; i.src = ${JSON.stringify(address)}; });
      return [
        await from(fetch(${JSON.stringify(address)})),
        await from(image),
        await new Promise((told) => { worker.onmessage = ({ data }) => told(data); }),
      ];
    })()`)) as string[];
    server.close();
    expect(tried).toEqual(["refused", "refused", "refused"]);
    expect(asked).toBe(0);
    // The browser says so of each; a page of ours says nothing.
    expect(open.complaints.length).toBeGreaterThan(0);
    open.complaints.length = 0;
    open.requests.length = 0;
  });

  it("prints the card on one side of half a sheet, before the readings and after", async () => {
    open = await openPage(file("planned"));
    const { page } = open;
    const sheet = async () => {
      await page.evaluate("window.dispatchEvent(new Event('beforeprint'))");
      const text = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
      const [, width, height] = /\/MediaBox \[\s*0 0 ([\d.]+) ([\d.]+)\s*\]/.exec(text)!;
      return {
        pages: text.match(/\/Type \/Page\b/g)!.length,
        width: Number(width) / 72,
        height: Number(height) / 72,
      };
    };
    const { pages, width, height } = await sheet();
    expect(pages).toBe(1);
    expect([width, height].map((inches) => Math.round(inches * 25.4))).toEqual([148, 210]);
    await open.close();
    open = await openPage(file("demo"));
    await printed(open.page);
    const text = await open.page.pdf({ preferCSSPageSize: true });
    expect(text.toString("latin1").match(/\/Type \/Page\b/g)).toHaveLength(1);
  }, 200_000);

  it.each([390, 1280])(
    "is clean to an accessibility checker at %i px, and no wider",
    async (width) => {
      open = await openPage(file("demo"), { width, height: 844 });
      const { page } = open;
      const look = async (): Promise<void> => {
        expect(await accessibilityFaults(page)).toEqual([]);
        expect(await page.evaluate("document.documentElement.scrollWidth")).toBeLessThanOrEqual(width);
      };
      await look();
      await go(page, "Readings");
      await page.locator(".trial summary").first().click();
      await page.locator(".task", { hasText: "Gap" }).first().click();
      // It tells what to cut.
      for (const caution of CAUTIONS) expect(await textOf(page, ".care")).toContain(caution);
      await look();
      await page.locator(".task", { hasText: "Angle" }).first().click();
      await page.locator("#value").fill("nothing");
      await page.keyboard.press("Enter");
      await look();
      await printed(page);
      await look();
      await go(page, "Files");
      await look();
    },
    200_000,
  );

  it("is under 2 MB", () => {
    open = { page: null as never, complaints: [], requests: [], close: async () => {} };
    expect(statSync(file("demo")).size).toBeLessThan(2_000_000);
  });
});
