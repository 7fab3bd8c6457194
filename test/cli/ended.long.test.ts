import { spawn } from "node:child_process";
import { cpSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";

const MAIN = resolve(import.meta.dirname, "../../dist/cli/main.js");
const JOB = resolve(import.meta.dirname, "../../data/alcove-screen");

/** Processes whose command line names a folder. */
const runningIn = (folder: string): string[] =>
  readdirSync("/proc").filter((name) => {
    try {
      return /^\d+$/.test(name) && readFileSync(`/proc/${name}/cmdline`, "utf8").includes(folder);
    } catch {
      return false;
    }
  });

/** Runs a command and ends it as soon as it says how far it is. */
async function ended(args: readonly string[], signal: NodeJS.Signals) {
  const child = spawn(process.execPath, [MAIN, ...args], { stdio: ["ignore", "pipe", "pipe"] });
  let [stdout, stderr] = ["", ""];
  child.stdout.on("data", (text) => {
    stdout += text;
  });
  child.stderr.on("data", (text) => {
    stderr += text;
    child.kill(signal);
  });
  const by = await new Promise<string | null>((done) => child.once("close", (_, how) => done(how)));
  return { by, stdout, stderr };
}

describe.each(["SIGINT", "SIGTERM"] as const)("a command ended by %s", (signal) => {
  it.each([
    ["card", (job: string) => ["card", job, "--out", join(job, "page.html")]],
    ["plan", (job: string) => ["plan", job, "--out", join(job, "new-plan.csv")]],
    ["record", (job: string) => ["record", job, "--out", join(job, "jigs.yaml")]],
    ["tolerances", (job: string) => ["tolerances", job, "--out", join(job, "page.svg")]],
  ])("%s ends at once by the signal, and leaves files as they were and no process", async (_, args) => {
    const job = inFolder({});
    cpSync(JOB, job, { recursive: true });
    writeFileSync(join(job, "page.html"), "previous");
    const before = readdirSync(job);
    const { by, stdout, stderr } = await ended(args(job), signal);
    expect([by, stdout]).toEqual([signal, ""]);
    expect(stderr).toMatch(/^(… .*\n)+$/);
    expect(readdirSync(job)).toEqual(before);
    expect(readFileSync(join(job, "page.html"), "utf8")).toBe("previous");
    expect(runningIn(job)).toEqual([]);
  });
});
