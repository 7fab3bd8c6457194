import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, expect, it } from "vitest";
import { CAUTIONS } from "../../src/render/cautions.js";
import { closeQuietly, type OpenPage, openPage } from "./open-page.js";

const ROOT = resolve(import.meta.dirname, "../..");
const folder = mkdtempSync(join(tmpdir(), "sukima-first-card-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let open: OpenPage;
closeQuietly(() => open);
const LONG = { timeout: 110_000 };

/** Readings taken before the answer is asked for: enough for the plan's first trial pieces. */
const READINGS = 8;

it("goes from nothing to one's own card in inches on a phone, with no command but the one that made the page", async () => {
  const file = join(folder, "bench.html");
  // The command of docs/first-card.md.
  execFileSync(process.execPath, [join(ROOT, "dist/cli/main.js"), "sheet", "--out", file]);
  open = await openPage(file, { width: 390, height: 844 });
  const { page } = open;
  const go = (view: string) => page.locator("nav").getByRole("button", { name: view }).click();
  await page.locator("#title").fill("Porch screen");
  await page.getByLabel("inches").check();
  await page.getByRole("button", { name: "Set up the shop" }).click();
  for (const [field, size] of [
    ["opening", "2 5/16"],
    ["strip", "7/64"],
  ] as const) {
    const input = page.locator(`[data-field="${field}"]`);
    await input.fill(size);
    await input.blur();
  }
  expect(await page.locator(".fault").count()).toBe(0);
  await go("Readings");
  await page.locator("#now").waitFor(LONG);
  for (let k = 0; k < READINGS; k++) {
    const leaves = page.locator(".leaves button[data-leaf]");
    if ((await leaves.count()) > 0) {
      await leaves.nth(0).click();
      await leaves.nth(1).click();
      continue;
    }
    const example = ((await page.locator("#example").first().textContent()) ?? "").replace(
      /^.*Type it as /,
      "",
    );
    await page.locator("#value").fill(example.split(" or ")[0]!.replace(/\.$/, ""));
    await page.getByRole("button", { name: "Save" }).click();
  }
  await go("Answer");
  await page.getByRole("button", { name: "What should I move?" }).click();
  await page.locator("#printed").waitFor({ state: "attached", ...LONG });
  const said = (await page.locator("main").textContent()) ?? "";
  expect(said).toContain(`From ${READINGS} readings`.slice(5));
  expect(said).toMatch(/What to do|Nothing: leave|What to expect/i);
  expect(said).toContain(CAUTIONS[0]!);
  expect(said).not.toMatch(/\d mm\b/);
  await page.emulateMedia({ media: "print" });
  expect(await page.evaluate("document.documentElement.scrollWidth")).toBeLessThanOrEqual(390);
}, 200_000);
