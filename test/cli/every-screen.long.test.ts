import { appendFileSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { cutListCommand } from "../../src/features/cutlist/cut-list-report.js";
import { explainCommand } from "../../src/features/explain/explain-report.js";
import { newJob } from "../../src/features/new/new-job.js";
import { panelCommand } from "../../src/features/panel/panel-report.js";
import { seasonCommand } from "../../src/features/season/season-report.js";
import { tolerancesCommand } from "../../src/features/tolerances/tolerance-report.js";
import { shippedPatterns } from "../../src/io/patterns/find-pattern.js";
import { inFolder } from "../io/in-folder.js";

const silent = (): void => {};
const plain = (text: string): string => text.replace(/\s+/g, " ");

/** A starter job with the sections for a whole screen taken in. */
function started(pattern: string): string {
  const folder = join(inFolder({}), "screen");
  newJob(folder, "mm", pattern);
  const file = join(folder, "job.yaml");
  const text = readFileSync(file, "utf8").replace(/^# (panel|stock|season|tolerances):/gm, "$1:");
  expect(text.match(/^(panel|stock|season|tolerances):/gm)).toHaveLength(4);
  writeFileSync(file, text);
  return folder;
}

describe.each(shippedPatterns())("a whole screen of a starter job with %s", (pattern) => {
  const folder = started(pattern);

  it("has a panel, and its grid in the cut list", async () => {
    const panel = JSON.parse(
      await panelCommand(folder, { json: true, panels: 20, quick: true, threads: 1 }, () => {}),
    );
    expect(panel.places).toHaveLength(12);
    const list = JSON.parse(cutListCommand(folder, { json: true }, new Date("2026-01-02")));
    const names: string[] = list.lines.map(({ name }: { name: string }) => name);
    expect(names.filter((name) => name.startsWith("grid strip")).length).toBeGreaterThan(1);
    expect(names.filter((name) => name.startsWith("border"))).toHaveLength(2);
    expect(list.laps.length).toBeGreaterThan(1);
    // The panel is as wide and as high as the border's members are long.
    const long = (name: string): number =>
      list.lines.find((line: { name: string }) => line.name === name).finished;
    expect(long("border, level")).toBeCloseTo(panel.nominal.width, 9);
    expect(long("border, upright")).toBeCloseTo(panel.nominal.height, 9);
  });

  it("has a year, and tolerances", async () => {
    const year = plain(await seasonCommand(folder, { cells: 100, seed: 1, details: true }, silent));
    expect(year).toContain("Widest in winter");
    const flags = { curve: false, seed: 1, details: true };
    const few = { search: 256, setting: 512, curve: 256, proof: 512 };
    expect(plain(await tolerancesCommand(folder, flags, silent, few))).toContain("the grid's walls");
  });

  it("says how a gap is written down, in names of its own, and explains the row that it gives", async () => {
    const refused = await explainCommand(folder, { seed: 1 }).catch((error: Error) => error.message);
    const row = /^ {2}(r1,.*)$/m.exec(refused)![1]!;
    appendFileSync(join(folder, "trials.csv"), `${row}\n`);
    expect(await explainCommand(folder, { seed: 1 })).toContain("WHY DOES IT GAP?");
    const saw = [...refused.matchAll(/--saw "([^"]+)"/g)].map((match) => match[1]!);
    expect(saw).toHaveLength(2);
    expect(await explainCommand(folder, { seed: 1, saw })).toContain("Based on 3 readings of 1 trial piece");
  });
});
