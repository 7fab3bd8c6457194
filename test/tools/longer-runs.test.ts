import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { filesWithLonger, leftOver, RUNS, runOf, testFiles } from "./longer-runs.js";

const ROOT = resolve(import.meta.dirname, "../..");

describe("the runs of the tests", () => {
  it("take every test file once, by its name", () => {
    const files = testFiles();
    expect(files.length).toBeGreaterThan(100);
    for (const { command, ending } of RUNS) {
      const own = files.filter((file) => runOf(file) === command);
      expect(own.length, command).toBeGreaterThan(0);
      for (const file of own) expect(file.endsWith(ending)).toBe(true);
    }
    expect(runOf("cli/rights.long.test.ts")).toBe("npm run test:long");
    expect(runOf("cli/new.test.ts")).toBe("npm test");
  });

  it("are scripts that there are, and all stand in .ci/run", () => {
    const { scripts } = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8"));
    const all = readFileSync(join(ROOT, ".ci/run"), "utf8");
    for (const { command } of RUNS) {
      expect(scripts).toHaveProperty([command.replace(/^npm (run )?/, "")]);
      // What is built already is not built again beside what reads it: there the script's own configuration is named.
      const own = `npx vitest run --config vitest.${command.replace(/^npm run test:/, "")}.config.ts`;
      expect(all).toMatch(new RegExp(`(${command}|${own})$`, "m"));
    }
  });

  it("are named where the short one leaves them out", () => {
    const said = leftOver(["a/x.long.test.ts", "b/y.browser.test.ts", "c/zebra.test.ts"], ["c/lion.test.ts"]);
    expect(said[1]).toMatch(/^ {2}npm run test:long +x$/);
    expect(said[2]).toMatch(/^ {2}npm run test:browser +y$/);
    expect(said.join()).not.toContain("zebra");
    expect(said.join("\n")).toMatch(/^ {2}npm run test:long +the tests skipped above, of lion$/m);
  });

  it("leave single tests of quick files to the longer one, which takes those files in", () => {
    const files = filesWithLonger();
    expect(files).toContain("physics/kernel/seating-kernel.test.ts");
    expect(files).not.toContain("cli/new.test.ts");
    for (const file of files) expect(runOf(file)).toBe("npm test");
  });
});
