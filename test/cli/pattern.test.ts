import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { patternCommand } from "../../src/features/pattern/pattern-report.js";
import { JobError } from "../../src/io/faults.js";
import { shippedPatterns } from "../../src/io/patterns/find-pattern.js";
import { CAUTIONS } from "../../src/render/cautions.js";
import { inFolder } from "../io/in-folder.js";
import { userError } from "../user-error.js";

const TRIANGLE = readFileSync(
  join(import.meta.dirname, "../../data/patterns/asanoha-triangular.yaml"),
  "utf8",
);

describe("sukima pattern", () => {
  it("lists what there is", async () => {
    const text = await patternCommand(undefined, {});
    for (const name of shippedPatterns()) expect(text).toContain(name);
  });

  it("tells one at the sizes asked for, with the cautions", async () => {
    const text = await patternCommand("diamond", { size: ["opening=80 mm", "height = 60"] });
    expect(text).toContain("50.0000 mm");
    expect(text).toContain("36.8699°, 53.1301°");
    expect(text).toContain("It closes: 12 joints meet");
    for (const caution of CAUTIONS) expect(text.replaceAll(/\s+/g, " ")).toContain(caution);
    expect(await patternCommand("asanoha-square", { size: ["seat-share=0.65", "strip=1/8 in"] })).toContain(
      "3.1750 mm",
    );
  });

  it("rings in the drawing what does not meet, and refuses", async () => {
    const folder = inFolder({ "own.yaml": TRIANGLE.replace("/ sqrt(3)\n", "/ sqrt(3) + 0.2\n") });
    const out = join(folder, "wrong.svg");
    const refused = await patternCommand(join(folder, "own.yaml"), { out }).catch((error: unknown) => error);
    expect(refused).toBeInstanceOf(JobError);
    expect((refused as JobError).faults).toHaveLength(3);
    const drawing = readFileSync(out, "utf8");
    // Three mitres, a ring at each end; the first three lines under the title say what is wrong.
    expect(drawing.match(/#B4430C" stroke-width="2"/g)).toHaveLength(6);
    expect(drawing).toContain("1: Joint arm-1.end-right|arm-2.end-left: the faces lie 0.3464 mm");
  });

  it.each<[string, Parameters<typeof patternCommand>[1], RegExp]>([
    ["diamond", { size: ["hieght=40"] }, /no such size of diamond: it has opening, strip, height/],
    ["diamond", { size: ["height"] }, /no such size/],
    ["asanoha-square", { size: ["seat-share=much"] }, /share between 0 and 1/],
    ["diamond", { out: "drawing.pdf" }, /ending in \.svg or \.png/],
  ])("%s with %o is refused", async (name, flags, message) => {
    await expect(patternCommand(name, flags)).rejects.toThrow(userError("usage"));
    await expect(patternCommand(name, flags)).rejects.toThrow(message);
    expect(existsSync("drawing.pdf")).toBe(false);
  });

  it("refuses a name that there is none of, and a file that is not there", async () => {
    await expect(patternCommand("dimond", {})).rejects.toThrow(/did you mean diamond\?/);
    await expect(patternCommand("/none/here.yaml", {})).rejects.toThrow(/no such file/);
  });

  it("refuses sizes at which the pattern does not close, with what does not meet", async () => {
    await expect(patternCommand("asanoha-triangular", { size: ["strip=40"] })).rejects.toThrow(JobError);
    await expect(patternCommand("asanoha-triangular", { size: ["strip=-3"] })).rejects.toThrow();
  });
});
