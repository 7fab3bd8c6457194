import { spawn } from "node:child_process";
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { LEAST } from "../io/good-job.js";
import { inFolder } from "../io/in-folder.js";
import { complaints, runSukima } from "./support/run-sukima.js";

const MAIN = resolve(import.meta.dirname, "../../dist/cli/main.js");
const JOB = resolve(import.meta.dirname, "../../data/alcove-screen");

/** One sentence for a person, and nothing of the program's insides. */
function expectSentence(stderr: string, what: RegExp): void {
  expect(stderr).toMatch(what);
  expect(stderr).not.toMatch(/\n\s+at |node:|Error:|fault in sukima/);
  expect(
    stderr
      .trim()
      .split("\n")
      .filter((line) => !line.startsWith("…")),
  ).toHaveLength(1);
}

describe("a place that cannot be written to", () => {
  const below = (): string => join(inFolder({ "a-file": "mine" }), "a-file", "deep", "card.html");

  it.each([
    ["page", () => ["page", "--out", below()]],
    ["card", () => ["card", newJob(), "--out", below()]],
    ["cutlist", () => ["cutlist", JOB, "--out", below()]],
    ["make", () => ["make", JOB, "--out", below()]],
    ["new", () => ["new", below()]],
    ["mystery", () => ["mystery", "--seed", "7", "--out", below()]],
    ["pattern", () => ["pattern", "asanoha-square", "--out", below().replace("html", "svg")]],
    ["simulate", () => ["simulate", JOB, "--out", below().replace("html", "csv")]],
  ])("%s says so in one sentence: a part of the path is a file", async (_, args) => {
    const { code, stderr } = await runSukima(...args());
    expect(code).toBe(1);
    expectSentence(stderr, /^(… .*\n)*Nothing was written: a part of the path is a file; .*deep/);
  });

  it("is a full disk", async () => {
    const { code, stderr } = await runSukima("page", "--out", "/dev/full");
    expect(code).toBe(1);
    expectSentence(
      complaints(stderr),
      /^Nothing was written: the disk is full; earlier content is unchanged: \/dev\/full\./,
    );
    expect(existsSync("/dev/full")).toBe(true);
  });

  it("is a folder", async () => {
    const folder = inFolder({ "kept.txt": "mine" });
    const { code, stderr } = await runSukima("page", "--out", folder);
    expect(code).toBe(1);
    expectSentence(complaints(stderr), /^Nothing was written: that is a folder; a file is wanted/);
    expect(readdirSync(folder)).toEqual(["kept.txt"]);
  });

  it("is an answer that nobody takes: a full disk behind the pipe, a reader that has gone", async () => {
    const full = await shell(`"${process.execPath}" "${MAIN}" pattern > /dev/full`);
    expect(full.code).toBe(1);
    expectSentence(complaints(full.stderr), /^The disk is full\./);
    const gone = await shell(`"${process.execPath}" "${MAIN}" pattern | true`);
    expect(complaints(gone.stderr)).toBe("");
  });

  it("is made when it is a folder that is not there yet", async () => {
    const out = join(inFolder({}), "not", "there", "yet.svg");
    expect((await runSukima("pattern", "asanoha-square", "--out", out)).code).toBe(0);
    expect(readFileSync(out, "utf8")).toMatch(/^<svg/);
  });
});

describe("a path in a job", () => {
  it.each([
    "records: [../outside.yaml]",
    "records: [/etc/hostname]",
    "records: [link.yaml]",
    "records: [linked/outside.yaml]",
  ])("does not leave its folder: %s", async (line) => {
    const outer = inFolder({ "outside.yaml": "from: x\ndate: y\n" });
    const folder = join(outer, "job");
    mkdirSync(folder);
    writeFileSync(join(folder, "job.yaml"), `${LEAST}${line}\n`);
    symlinkSync("../outside.yaml", join(folder, "link.yaml"));
    symlinkSync("..", join(folder, "linked"));
    const { code, stderr } = await runSukima("predict", folder);
    expect(code).toBe(1);
    expect(stderr).toMatch(/records: it leads outside the job's folder/i);
  });

  it.each(["../own.yaml", "link.yaml"])("does not leave it for a pattern: %s", async (name) => {
    const outer = inFolder({ "own.yaml": "pattern: own\n" });
    const folder = join(outer, "job");
    mkdirSync(folder);
    symlinkSync("../own.yaml", join(folder, "link.yaml"));
    writeFileSync(join(folder, "job.yaml"), LEAST.replace("asanoha-square", name));
    const { code, stderr } = await runSukima("predict", folder);
    expect(code).toBe(1);
    expect(stderr).toMatch(/pattern: it leads outside the job's folder/i);
  });
});

function newJob(): string {
  return inFolder({
    "job.yaml": readFileSync(join(JOB, "job.yaml"), "utf8"),
    "trials.csv": `${readFileSync(join(JOB, "trials.csv"), "utf8").split("\n")[0]}\n`,
  });
}

async function shell(command: string): Promise<{ code: number | null; stderr: string }> {
  const child = spawn("bash", ["-c", command]);
  let stderr = "";
  child.stderr.on("data", (chunk) => {
    stderr += chunk;
  });
  return new Promise((done) => child.once("close", (code) => done({ code, stderr })));
}
