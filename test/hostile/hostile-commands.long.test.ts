import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import { beforeAll, describe, expect, it } from "vitest";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadTrials } from "../../src/io/trials/load-trials.js";
import { trialsCsv } from "../../src/io/trials/trials-csv.js";
import { drawingsOf } from "../../src/render/notebook/display.js";
import { runSukima } from "../cli/support/run-sukima.js";
import { inFolder } from "../io/in-folder.js";
import { HOSTILE, hostileJob } from "./hostile-job.js";
import { expectInert, expectPolicy } from "./inert.js";

let folder: string;
let out: string;
beforeAll(() => {
  folder = hostileJob();
  out = join(inFolder({}), "out");
});

describe("a job full of hostile text", () => {
  it.each([
    ["card", "card.html"],
    ["page", "page.html"],
    ["cutlist", "cut-list.html"],
  ])("%s: an inert page that asks no network", async (command, name) => {
    const where = command === "cutlist" ? out : join(out, name);
    const args =
      command === "page" ? ["page", "--job", folder, "--out", where] : [command, folder, "--out", where];
    const { code, stderr } = await runSukima(...args);
    expect(stderr.replaceAll(/^….*\n/gm, "")).toBe("");
    expect(code).toBe(0);
    const html = readFileSync(join(out, name), "utf8");
    expect(html).toContain("&lt;");
    expectInert(html);
    expectPolicy(html);
  });

  it("notebook: an inert page and outputs", async () => {
    const { code, stderr } = await runSukima("notebook", "01-calibrate-a-jig", "--job", folder, "--out", out);
    expect(stderr).not.toMatch(/stopped/);
    expect(code).toBe(0);
    const html = readFileSync(join(out, "01-calibrate-a-jig.html"), "utf8");
    expectInert(html);
    expectPolicy(html);
    const notebook = JSON.parse(readFileSync(join(out, "01-calibrate-a-jig.ipynb"), "utf8"));
    const outputs = notebook.cells.flatMap(
      (cell: { outputs?: { data?: Record<string, string | string[]> }[] }) =>
        (cell.outputs ?? []).flatMap(({ data = {} }) => {
          const { svg = [], narrow = [] } = drawingsOf(data) ?? {};
          return [...("text/html" in data ? [[data["text/html"]].flat().join("")] : []), ...svg, ...narrow];
        }),
    );
    expect(outputs.length).toBeGreaterThan(2);
    for (const output of outputs) expectInert(`<i><i><i><i>${output}`);
  });

  it.each(["estimates", "budget", "cell"])("draw %s: an SVG in which it is text", async (picture) => {
    const names = (await runSukima("draw", "--job", folder)).stdout;
    const name = names
      .split("\n")
      .map((line) => line.split(" ")[0]!)
      .find((one) => one.includes(picture));
    expect(name, names).toBeDefined();
    const file = join(out, `${picture}.svg`);
    const { code, stderr } = await runSukima("draw", name!, "--job", folder, "--out", file);
    expect(code, stderr).toBe(0);
    expectInert(readFileSync(file, "utf8"));
  });

  it("cutlist and simulate: tables that no spreadsheet runs", async () => {
    const job = loadJob(folder);
    const readings = loadTrials(folder, job);
    const csv = trialsCsv(job, readings);
    const tables = readdirSync(out).filter((name) => name.endsWith(".csv"));
    expect(tables.length).toBeGreaterThan(2);
    for (const text of [csv, ...tables.map((name) => readFileSync(join(out, name), "utf8"))])
      for (const row of parse(text) as string[][])
        for (const one of row) if (!/^-?[\d.]+$/.test(one)) expect(one).not.toMatch(/^[=+\-@\t\r]/);
    // And what they say is read again as it was.
    writeFileSync(join(folder, "again.csv"), csv);
    const again = loadTrials(join(folder, "again.csv"), job);
    expect(again.map((reading) => ({ ...reading, file: readings[0]?.file }))).toEqual(readings);
    expect(readings[0]!.note).toBe(HOSTILE);
  });

  it("record: YAML that says the same names", async () => {
    const { code, stderr } = await runSukima("record", folder, "--out", join(folder, "jigs.yaml"));
    expect(code, stderr).toBe(0);
    const job = readFileSync(join(folder, "job.yaml"), "utf8");
    writeFileSync(join(folder, "job.yaml"), `${job}\nrecords: [jigs.yaml]\n`);
    expect(loadJob(folder).title).toBe(HOSTILE);
    writeFileSync(join(folder, "job.yaml"), job);
  });
});
