import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { interruptSukima } from "./support/interrupt-sukima.js";
import { runSukima } from "./support/run-sukima.js";

const folder = mkdtempSync(join(tmpdir(), "sukima-panel-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const CELL = "pattern: asanoha-square\nopening: 60\nstrip: 4\n";
function job(name: string, panel: string): string {
  const file = join(folder, `${name}.yaml`);
  writeFileSync(file, CELL + panel);
  return file;
}
const SMALL = job("small", "panel: { rows: 2, columns: 3 }\n");

describe("sukima panel", () => {
  it("tells the answer with the cautions, and draws it", async () => {
    const out = join(folder, "drawn");
    const { code, stdout, stderr } = await runSukima(
      "panel",
      SMALL,
      "--panels",
      "200",
      "--details",
      "--out",
      out,
    );
    expect(code).toBe(0);
    for (const part of ["IN SHORT", "THREE WAYS", "WHAT DRIVES IT", "Unplug a machine"])
      expect(stdout).toContain(part);
    expect(stderr).toMatch(/of [\d,]+ (panels|ways|rounds).*a second, \d+ s left/);
    expect(readdirSync(out).sort()).toEqual(["panel-budget.svg", "panel-fails.svg", "panel-gaps.svg"]);
    expect(readFileSync(join(out, "panel-fails.svg"), "utf8")).toContain("<desc>");
  });

  it("prints numbers that fit together, the same for the same seed", async () => {
    const args = ["panel", SMALL, "--panels", "300", "--seed", "4", "--quick", "--json"];
    const [{ stdout }, again] = await Promise.all([runSukima(...args), runSukima(...args)]);
    expect(again.stdout).toBe(stdout);
    const { panels, refits, places, closes, ways, budget } = JSON.parse(stdout);
    expect([panels, ways, budget]).toEqual([300, null, null]);
    const failing = places.reduce(
      (sum: number, { fails }: { fails: { value: number } }) => sum + fails.value,
      0,
    );
    // The mean is corrected to exact order, the single cells are not.
    expect(Math.abs(failing / refits.mean.value - 1)).toBeLessThan(0.05);
    expect(1 - closes.value).toBeLessThanOrEqual(refits.mean.value);
  });

  it("makes it in the way asked for", async () => {
    const told = async (...way: string[]) =>
      JSON.parse((await runSukima("panel", SMALL, "--panels", "100", "--quick", "--json", ...way)).stdout);
    const [cut, fitted] = [await told(), await told("--way", "fitted")];
    expect([cut.way, fitted.way]).toEqual(["as-cut", "fitted"]);
    expect(fitted.tight.value).toBe(0);
    expect(fitted.refits.mean.value).toBeLessThan(cut.refits.mean.value);
  });

  it("interrupted prints what is known so far", async () => {
    const { code, stdout } = await interruptSukima(
      "panel",
      SMALL,
      "--panels",
      "1e6",
      "--without-readings",
      "--json",
    );
    const { status, panels, budget } = JSON.parse(stdout);
    expect([code, status, budget]).toEqual([0, "stopped", null]);
    expect(panels).toBeGreaterThan(0);
    expect(panels).toBeLessThan(1e6);
  });

  it.each([
    [job("none", ""), [], /The job has no panel.*panel: \{ rows: 3/],
    [job("odd", "panel: { rows: 2, colums: 3 }\n"), [], /odd\.yaml, line 4.*[\s\S]*Did you mean columns/],
    [SMALL, ["--panels", "5"], /whole number, from 20 to 1000000/],
    [SMALL, ["--way", "filed"], /as-cut, sorted or fitted/],
  ])("refuses %s %j", async (file, flags, message) => {
    const { code, stderr } = await runSukima("panel", file, ...flags);
    expect(code).toBeGreaterThan(0);
    expect(stderr).toMatch(message);
  });
});
