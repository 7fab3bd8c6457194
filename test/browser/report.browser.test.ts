import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { accessibilityFaults } from "./axe.js";
import { type OpenPage, openPage } from "./open-page.js";

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
afterEach(async () => {
  await open.close();
  expect(open.complaints).toEqual([]);
  expect(open.requests).toEqual([]);
});

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
  const figure = answer.locator("p", { hasText: "Face length 3 mm" });
  expect(await figure.isVisible()).toBe(false);
  await answer.locator("> summary").focus();
  await open.page.keyboard.press("Enter");
  expect(await figure.isVisible()).toBe(true);
});
