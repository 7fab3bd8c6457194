import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";
import { runSukima } from "./support/run-sukima.js";

describe("sukima card", () => {
  it("writes the card of a job that nothing was measured for yet", async () => {
    const folder = join(inFolder({}), "screen");
    await runSukima("new", folder);
    const out = join(inFolder({}), "cards", "first.html");
    const { code, stdout } = await runSukima("card", folder, "--out", out);
    expect(code).toBe(0);
    expect(stdout).toMatch(/print it on A5; .*\. There are no readings yet/);
    expect(readFileSync(out, "utf8")).toMatch(/^<!doctype html>[\s\S]*Unplug a machine/);
  });

  it("refuses a job without jigs", async () => {
    const folder = inFolder({
      "job.yaml": "pattern: asanoha-square\nopening: 60\nstrip: 3\n",
      "trials.csv": "id,trial,bench,joint,what,value,unit,instrument\n",
    });
    const { code, stderr } = await runSukima("card", folder, "--out", join(folder, "card.html"));
    expect(code).toBe(1);
    expect(stderr).toMatch(/names no jigs/);
  });
});
