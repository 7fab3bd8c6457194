import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";
import { complaints, runSukima } from "./support/run-sukima.js";

describe("sukima new", () => {
  it.each([
    ["mm", /diagonal +1 +84\.85 mm/],
    ["in", /diagonal +1 +3\.3588 in/],
  ])("in %s writes a job that sukima predict reads at once", async (units, line) => {
    const folder = join(inFolder({}), "screen");
    const made = await runSukima("new", folder, "--units", units);
    expect(made.code).toBe(0);
    expect(complaints(made.stderr)).toBe("");
    expect(made.stdout).toContain(join(folder, "job.yaml"));
    expect(made.stdout).toContain("Unplug a machine");
    expect(readdirSync(folder).sort()).toEqual(["job.yaml", "names.svg", "trials.csv"]);
    const predicted = await runSukima("predict", folder, "--details");
    expect(predicted.code).toBe(0);
    expect(complaints(predicted.stderr)).toBe("");
    expect(predicted.stdout).toMatch(line);
    expect(predicted.stdout).toMatch(/THE CELL CLOSES/);
  });

  it("does not write over a job, and ends with code 1", async () => {
    const folder = inFolder({ "job.yaml": "mine" });
    const { code, stdout, stderr } = await runSukima("new", folder);
    expect({ code, stdout }).toEqual({ code: 1, stdout: "" });
    expect(stderr).toMatch(/a new job does not write over an old one/);
    expect(readFileSync(join(folder, "job.yaml"), "utf8")).toBe("mine");
    expect(readdirSync(folder)).toEqual(["job.yaml"]);
  });

  it("knows mm and in alone", async () => {
    const { code, stderr } = await runSukima("new", join(inFolder({}), "x"), "--units", "ft");
    expect(code).toBe(2);
    expect(stderr).toMatch(/must be mm or in/);
  });

  it("has no readings yet, which sukima calibrate says", async () => {
    const folder = join(inFolder({}), "screen");
    await runSukima("new", folder);
    const { code, stderr } = await runSukima("calibrate", folder);
    expect(code).toBe(1);
    expect(stderr).toMatch(/trials\.csv has no readings yet/);
  });
});
