import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { interruptSukima } from "./support/interrupt-sukima.js";
import { runSukima } from "./support/run-sukima.js";

const DEMO = resolve(import.meta.dirname, "../../data/alcove-screen");
const folder = mkdtempSync(join(tmpdir(), "sukima-forecast-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe("sukima predict --uncertain", () => {
  it("tells cells, joints, budget and sources, with the cautions, and draws them", async () => {
    const { code, stdout, stderr } = await runSukima(
      ...["predict", DEMO, "--uncertain", "--trials", "1e4", "--details", "--out", folder],
    );
    expect(code).toBe(0);
    for (const part of [
      "THE CELLS TO COME",
      "JOINT BY JOINT",
      "all 79 sources up to 2 standard deviations",
      "Based on 58 readings of 10 trial pieces; jigs and stops as they stand.",
      "likely range, 8 in 10",
      "WHAT COSTS MOST CELLS",
      "WHAT WENT IN",
      "Unplug a machine",
    ])
      expect(stdout).toContain(part);
    expect(stderr).toMatch(/cells, [\d,]+ a second, \d+ s left/);
    expect(readdirSync(folder).sort()).toEqual(["budget.svg", "spread.svg"]);
  });

  it("prints numbers that fit together", async () => {
    const { stdout } = await runSukima(
      ...["predict", DEMO, "--uncertain", "--without-readings", "--trials", "5000", "--json"],
    );
    const { cell, joints, budget, sources, trials, atOnce } = JSON.parse(stdout);
    expect(trials).toBe(5000);
    expect(joints).toHaveLength(22);
    for (const joint of joints) expect(joint.closes.value).toBeGreaterThanOrEqual(cell.closes.value);
    const { beyondGap, beyondPress, closes } = cell;
    expect(beyondGap.value + beyondPress.value).toBeGreaterThanOrEqual(1 - closes.value - 1e-12);
    for (const [worst, quantiles] of [
      [atOnce.widestGap, cell.quantiles],
      [atOnce.deepestPress, cell.pressQuantiles],
    ])
      expect(worst).toBeGreaterThan(quantiles.at(-1).value);
    expect(budget.lines.map(({ source }: { source: string }) => source).sort()).toEqual(
      sources.map(({ name }: { name: string }) => name).sort(),
    );
    expect(sources[0]).toMatchObject({ name: "ramp of point-45", of: [{ deviation: 0.5, unit: "degrees" }] });
  });

  it("interrupted prints what is known so far", async () => {
    const args = ["predict", DEMO, "--uncertain", "--without-readings", "--trials", "1e8", "--json"];
    const { code, stdout } = await interruptSukima(...args);
    const { status, trials, budget } = JSON.parse(stdout);
    expect([code, status, budget]).toEqual([0, "stopped", null]);
    expect(trials).toBeGreaterThan(0);
  });

  it.each([
    [["--trials", "1000"], /--trials goes with --uncertain only/],
    [["--uncertain", "--trials", "1000", "--adaptive"], /exclude each other/],
    [["--uncertain", "--trials", "5"], /whole number, from 100 to 1000000000/],
  ])("refuses %j", async (flags, message) => {
    const { code, stderr } = await runSukima("predict", DEMO, ...flags);
    expect(code).toBeGreaterThan(0);
    expect(stderr).toMatch(message);
  });
});
