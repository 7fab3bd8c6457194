import { cpSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";
import { runSukimaIn } from "./support/run-sukima.js";

const DEMO = resolve(import.meta.dirname, "../../data/alcove-screen");

/** A copy of the demonstration that starts from a record. */
function ownJob(): string {
  const job = inFolder({});
  cpSync(DEMO, job, { recursive: true });
  const text = readFileSync(join(job, "job.yaml"), "utf8");
  writeFileSync(join(job, "job.yaml"), `${text}records: [jigs.yaml]\n`);
  writeFileSync(
    join(job, "jigs.yaml"),
    'from: an earlier screen\ndate: "2026-03-21"\nramps: { point-45: { ramp: 45 deg, error: 0.5 deg, uncertainty: 0.1 deg } }\n',
  );
  symlinkSync("trials.csv", join(job, "a-link.csv"));
  return job;
}
const contents = (folder: string): Record<string, string> =>
  Object.fromEntries(readdirSync(folder).map((name) => [name, readFileSync(join(folder, name), "utf8")]));

describe("no answer is written over what someone has typed", () => {
  it.each([
    [["plan", ".", "--out", "trials.csv"], /that file holds something else; only an earlier answer/],
    [["plan", ".", "--out", "a-link.csv"], /that file holds something else/],
    [["plan", ".", "--out", "job.yaml"], /the name of the file has another ending; it ends in \.csv/],
    [["plan", ".", "--out", "gauge.csv"], /that file holds something else/],
    [["simulate", ".", "--out", "trials.csv"], /that file holds something else/],
    [["simulate", ".", "--out", "plan.csv"], /the command reads that file; an answer never replaces/],
    [["record", ".", "--out", "job.yaml"], /the command reads that file|that file holds something else/],
    [["record", ".", "--out", "jigs.yaml"], /the command reads that file/],
    [["record", ".", "--out", "truth.yaml"], /that file holds something else/],
    [["card", ".", "--out", "trials.csv"], /another ending; it ends in \.html/],
    [["sheet", ".", "--out", "job.yaml"], /another ending; it ends in \.html/],
    [["page", "--out", "job.yaml"], /another ending; it ends in \.html/],
    [["page", "--job", ".", "--out", "job.yaml"], /another ending/],
    [["draw", "cell", "--job", ".", "--out", "job.yaml"], /ending in \.svg or \.png/],
    [["pattern", "diamond", "--out", "job.yaml"], /ending in \.svg or \.png/],
    [["season", ".", "--out", "job.yaml"], /ending in \.svg or \.png/],
    [["mystery", "--seed", "7", "--out", "."], /There is a job in \./],
    [["new", "."], /There is a job\.yaml and a trials\.csv here already/],
  ])("%j", async (args, says) => {
    const job = ownJob();
    const before = contents(job);
    const { code, stderr } = await runSukimaIn(job, ...args);
    expect([1, 2]).toContain(code);
    expect(stderr).toMatch(says);
    expect(contents(job)).toEqual(before);
  });

  it("an empty table of a new job takes readings, and a page replaces a page", async () => {
    const folder = inFolder({});
    expect((await runSukimaIn(folder, "new", "mine")).code).toBe(0);
    const taken = await runSukimaIn(folder, "simulate", DEMO, "--out", "mine/trials.csv");
    expect([taken.code, taken.stdout]).toEqual([0, "58 readings written to mine/trials.csv\n"]);
    writeFileSync(join(folder, "page.html"), "old");
    expect((await runSukimaIn(folder, "page", "--out", "page.html")).code).toBe(0);
    expect(readFileSync(join(folder, "page.html"), "utf8")).toMatch(/^<!doctype html>/);
  });
});
