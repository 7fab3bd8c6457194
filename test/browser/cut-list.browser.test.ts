import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { accessibilityFaults } from "./axe.js";
import { closeQuietly, type OpenPage, openPage } from "./open-page.js";

const ROOT = resolve(import.meta.dirname, "../..");
const folder = mkdtempSync(join(tmpdir(), "sukima-cut-list-"));

beforeAll(() => {
  const args = ["cutlist", join(ROOT, "data/alcove-screen"), "--out", folder];
  execFileSync(process.execPath, [join(ROOT, "dist/cli/main.js"), ...args], { stdio: "pipe" });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let open: OpenPage;
closeQuietly(() => open);

describe("the printed cut list", () => {
  it("is clean to an accessibility checker, and fits a phone", async () => {
    open = await openPage(join(folder, "cut-list.html"), { width: 390, height: 800 });
    expect(await accessibilityFaults(open.page)).toEqual([]);
    expect(await open.page.evaluate("document.documentElement.scrollWidth")).toBeLessThanOrEqual(390);
  });

  it("prints on two sheets of the printer's paper", async () => {
    open = await openPage(join(folder, "cut-list.html"));
    const text = (await open.page.pdf({ preferCSSPageSize: true })).toString("latin1");
    expect(text.match(/\/Type \/Page\b/g)).toHaveLength(2);
  });
});
