import { execFileSync } from "node:child_process";
import { resolve } from "node:path";
import { expect, it } from "vitest";

it("docs/licences.md is what the lock file and the installed packages say", () => {
  const tool = resolve(import.meta.dirname, "../tools/licences.mjs");
  expect(execFileSync(process.execPath, [tool, "--check"], { encoding: "utf8" })).toBe("");
});
