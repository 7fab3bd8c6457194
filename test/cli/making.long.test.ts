import { mkdtempSync, readdirSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import { describe, expect, it } from "vitest";
import { planCuts } from "../../src/features/cutlist/cut-list.js";
import { cutListCommand } from "../../src/features/cutlist/cut-list-report.js";
import { seasonCommand } from "../../src/features/season/season-report.js";
import { tolerancesCommand } from "../../src/features/tolerances/tolerance-report.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { CAUTIONS } from "../../src/render/cautions.js";
import { DEMO } from "../inference/demo.js";
import { inFolder } from "../io/in-folder.js";

const silent = (): void => {};
/** What a text says, however its lines are broken. */
const plain = (text: string): string => text.replace(/\s+/g, " ");
const TODAY = new Date("2026-01-02");
const folder = (): string => mkdtempSync(join(tmpdir(), "making-"));

/** A job whose every name would be a formula in a spreadsheet, or code in a page. */
const HOSTILE = `title: "<script>alert(1)</script>"
units: in
pattern: asanoha-square
opening: 2 3/8 in
strip: 1/8 in
jigs:
  "=cmd|calc": { ramp: 45 deg, locked: true }
  "+67": { ramp: 67.5 deg, locked: true }
  "-22": { ramp: 22.5 deg, locked: true }
set-ups:
  "@diagonal": { jig: "=cmd|calc", cuts: [diagonal.start] }
  "<b>end": { jig: "=cmd|calc", cuts: [diagonal.end], stop: { step: 1 thou } }
  "=1+1": { jig: "+67", cuts: [hinge.point] }
  hinge-end: { jig: "-22", cuts: [hinge.mitre, hinge.seat], stop: { step: 1 thou } }
  key: { jig: "=cmd|calc", cuts: [key.start, key.end], stop: { step: 1 thou } }
stock: { lengths: [24 in], kerf: 3/64 in }
`;

describe("sukima cutlist", () => {
  it("prints the lines of the list with the cautions, and the same numbers as data", () => {
    const text = plain(cutListCommand(DEMO, { details: true }, TODAY));
    const list = planCuts(loadJob(DEMO));
    for (const { name, needed, spares } of list.lines)
      expect(text).toMatch(new RegExp(`${name} .*${needed} ${spares} ${needed + spares}`));
    for (const caution of CAUTIONS) expect(text).toContain(plain(caution));
    expect(text).toContain("common practice, no source");
    const data = JSON.parse(cutListCommand(DEMO, { json: true }, TODAY));
    expect(data.lines.map((line: { spares: number }) => line.spares)).toEqual(
      list.lines.map(({ spares }) => spares),
    );
    expect(data.setUps[0].rampDegrees).toBeCloseTo(45, 9);
  });

  it("writes tables in which nothing is a formula, and a page in which nothing runs", () => {
    const out = folder();
    cutListCommand(inFolder({ "job.yaml": HOSTILE }), { out }, TODAY);
    const files = readdirSync(out).filter((file) => file.endsWith(".csv"));
    expect(files.sort()).toEqual(["laps.csv", "pieces.csv", "recuts.csv", "set-ups.csv", "sticks.csv"]);
    for (const file of files) {
      const rows = parse(readFileSync(join(out, file), "utf8")) as string[][];
      for (const cell of rows.flat()) expect(cell, file).not.toMatch(/^[=+\-@\t\r]/);
    }
    const setUps = parse(readFileSync(join(out, "set-ups.csv"), "utf8")) as string[][];
    // The name itself is still there to be read.
    expect(setUps.map(([name]) => name)).toContain("'@diagonal");
    expect(setUps.find(([name]) => name === "'<b>end" || name === "<b>end")![5]).toBe("3.3588");
    const page = readFileSync(join(out, "cut-list.html"), "utf8");
    expect(page).toContain("default-src 'none'");
    expect(page).not.toMatch(/<script|<b>|style="|unsafe-inline/);
    expect(page).toContain("&lt;script&gt;");
    expect(page).toContain(CAUTIONS[0]);
    expect(page).toMatch(/3\.3588.in.\(3.23\/64.in.−.0\.6.thou\)/);
  });

  it("says what to write when a piece is longer than the stock", () => {
    const job = inFolder({ "job.yaml": HOSTILE.replace("[24 in]", "[3 in]") });
    expect(() => cutListCommand(job, {}, TODAY)).toThrow(/Write longer lengths into the section stock/);
  });
});

describe("sukima season", () => {
  it("tells the widest month with its uncertainty and the cautions, and draws it", async () => {
    const out = join(folder(), "year.svg");
    const text = plain(await seasonCommand(DEMO, { cells: 400, out, details: true }, silent));
    expect(text).toMatch(/Widest in January: at 6\.7 % a strip is 0\.0\d+ mm thinner/);
    expect(text).toMatch(/95 % of screens: 0\.\d+ mm to 0\.\d+ mm/);
    expect(text).toMatch(/Real wood lags behind/);
    for (const caution of CAUTIONS) expect(text).toContain(plain(caution));
    const svg = readFileSync(out, "utf8");
    for (const month of ["Jan", "Jul"]) expect(svg).toContain(month);
    const data = JSON.parse(await seasonCommand(DEMO, { cells: 400, json: true }, silent));
    expect(data.states).toHaveLength(12);
    expect(data.worst).toBe("January");
  });

  it("refuses a job without a season, and a chart that is neither SVG nor PNG", async () => {
    const bare = inFolder({ "job.yaml": "pattern: asanoha-square\nopening: 60\nstrip: 3\n" });
    await expect(seasonCommand(bare, {}, silent)).rejects.toThrow(/no section season/);
    await expect(seasonCommand(DEMO, { out: "x.gif" }, silent)).rejects.toThrow(
      /ending in \.svg or \.png; got “x\.gif”/,
    );
  });
});

describe("sukima tolerances", () => {
  const cells = { search: 512, setting: 1024, curve: 256, proof: 2000 };

  it("tells what is wanted of each source, what it costs, and how surely it was proved", async () => {
    const out = join(folder(), "trade-off.svg");
    const text = plain(await tolerancesCommand(DEMO, { out, details: true }, silent, cells));
    expect(text).toMatch(/For 90\.0 % of the cells to close .* cheapest tolerances found/);
    expect(text).toMatch(/Proved on cells drawn anew: [\d.]+ ± [\d.]+ % close/);
    for (const source of [
      "ramp of point-45",
      "stop of key-end",
      "thickness of the batch",
      "the grid's walls",
    ])
      expect(text).toContain(source);
    expect(text).toContain("our own, no source");
    for (const caution of CAUTIONS) expect(text).toContain(plain(caution));
    expect(readFileSync(out, "utf8")).toContain("least cost");
    const data = JSON.parse(
      await tolerancesCommand(
        DEMO,
        { json: true, curve: false, chance: 0.8, withoutReadings: true },
        silent,
        cells,
      ),
    );
    const ramp = data.lines.find((line: { name: string }) => line.name === "ramp of point-45");
    expect(ramp.parts[0]).toMatchObject({ unit: "deg" });
    expect(ramp.parts[0].today).toBeCloseTo(0.5, 9);
    expect(ramp.parts[0].wanted).toBeCloseTo(0.5 * ramp.factor, 9);
    expect(data.curve).toEqual([]);
  });

  it("refuses a chart that is neither SVG nor PNG", async () => {
    await expect(tolerancesCommand(DEMO, { out: "x.gif" }, silent, cells)).rejects.toThrow(/ending in \.svg/);
  });
});
