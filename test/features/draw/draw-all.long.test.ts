import { readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { drawCommand } from "../../../src/features/draw/draw.js";
import { runSukima } from "../../cli/support/run-sukima.js";
import { inFolder } from "../../io/in-folder.js";

const DEMO = "data/alcove-screen";

describe("sukima draw", () => {
  it("fits the readings once for every picture of a job", async () => {
    const out = join(inFolder({}), "pictures");
    // The built program, whose pictures are worked out by threads too.
    const { code, stdout: said, stderr } = await runSukima("draw", "--all", "--job", DEMO, "--out", out);
    expect([code, stderr.match(/^… judging the fit$/gm)?.length]).toEqual([0, 1]);
    for (const name of ["cell", "cell-before", "cell-after", "estimates", "plan", "year"])
      expect(readdirSync(out)).toContain(`${name}.svg`);
    expect(said.match(/^Drawn: /gm)).toHaveLength(readdirSync(out).length);
  });

  it("weighs no moves for a picture that shows none, and fits nothing for the cell as cut", async () => {
    const out = join(inFolder({}), "a.svg");
    const steps: string[] = [];
    await drawCommand("cell-before", { job: DEMO, out, seed: 1 }, (step) => steps.push(step));
    expect(steps.some((step) => step.startsWith("fitting"))).toBe(true);
    expect(steps).not.toContain("weighing the moves");
    const none: string[] = [];
    await drawCommand("cell", { job: DEMO, out, seed: 1 }, (step) => none.push(step));
    expect(none).toEqual([]);
  });
});
