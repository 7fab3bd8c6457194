import { chmodSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { canRun, owned, ownJob, runHeldBack } from "./support/as-another-user.js";
import { complaints, type Ran } from "./support/run-sukima.js";

/** Refused in words, once, without the program's insides. */
function expectRefused({ code, stdout, stderr }: Ran, says: RegExp): void {
  expect(stderr).toMatch(says);
  expect(stderr.match(new RegExp(says, "g"))).toHaveLength(1);
  expect(stderr).not.toMatch(/\n\s+at |node:|Error:|fault in sukima|EACCES|EPERM/);
  expect([code, stdout]).toEqual([1, ""]);
}

/** Calls with a folder whose rights are taken away, and gives them back, so that the test may look into it. */
function without<T>(path: string, mode: number, call: () => T): T {
  chmodSync(path, mode);
  try {
    return call();
  } finally {
    chmodSync(path, 0o755);
  }
}

describe.skipIf(!canRun())("what someone else has the rights to", () => {
  it("is not what these tests are run with", () => {
    const job = ownJob();
    const ran = runHeldBack("predict", job);
    expect(ran.code).toBe(0);
    expect(complaints(ran.stderr)).toBe("");
    expect(runHeldBack("pattern", "diamond", "--out", join(job, "a.svg")).code).toBe(0);
  });

  it.each([
    ["job.yaml", ["predict", "calibrate", "card"]],
    ["trials.csv", ["calibrate", "explain", "plan"]],
    ["truth.yaml", ["simulate"]],
  ])("%s that may not be read", (name, commands) => {
    const job = ownJob();
    for (const command of commands) {
      const out = command === "card" ? ["--out", join(job, "card.html")] : [];
      const ran = without(join(job, name), 0, () => runHeldBack(command, job, ...out));
      expectRefused(ran, new RegExp(`${name}\n +The file cannot be read: you do not have permission\\.`));
      expect(ran.stderr).toMatch(/Right would be: one that you may read/);
    }
  });

  it.each([
    ["gauge", "gauge.csv"],
    ["batch", "batch.csv"],
    ["pattern", "own.yaml"],
  ])("a table or a pattern given to %s that may not be read", (command, name) => {
    const file = join(ownJob(), name);
    writeFileSync(file, "x");
    expectRefused(
      without(file, 0, () => runHeldBack(command, file)),
      /The file cannot be read: you do not have permission\./,
    );
  });

  it.each([0o644, 0o000])("a job's folder that may not be looked into, rights %o", (mode) => {
    const job = ownJob();
    for (const command of ["predict", "calibrate", "plan"])
      expectRefused(
        without(job, mode, () => runHeldBack(command, job)),
        /The folder cannot be read: you do not have permission\./,
      );
  });

  it.each([
    ["card", (job: string) => ["card", job, "--out", join(job, "card.html")]],
    ["page", (job: string) => ["page", "--out", join(job, "page.html")]],
    ["cutlist", (job: string) => ["cutlist", job, "--out", job]],
    ["record", (job: string) => ["record", job, "--out", join(job, "record.yaml")]],
    ["draw", (job: string) => ["draw", "cell", "--job", job, "--out", join(job, "cell.png")]],
    ["a new folder", (job: string) => ["new", join(job, "next")]],
  ])("an output folder that may not be written to: %s", (_, args) => {
    const job = ownJob();
    const before = readdirSync(job);
    const ran = without(job, 0o555, () => runHeldBack(...args(job)));
    expectRefused(
      ran,
      /Nothing was written: you may not read or write there; .*Name another place, or get permission to write there\./,
    );
    expect(readdirSync(job)).toEqual(before);
  });

  it.each([
    ["notebook", (job: string) => ["notebook", "01-calibrate-a-jig", "--job", job, "--out", job]],
    [
      "predict --uncertain",
      (job: string) => ["predict", job, "--uncertain", "--out", join(job, "deep", "er")],
    ],
  ])("is found out before the long work of %s", (_, args) => {
    const job = ownJob();
    const ran = without(job, 0o555, () => runHeldBack(...args(job)));
    expectRefused(ran, /Nothing can be written to .*: you may not read or write there\./);
    expect(ran.stderr).not.toMatch(/cell 1|a second/);
  });

  it.each([0o444, 0o000])("an output file that may not be written to, rights %o", (mode) => {
    const job = ownJob();
    const card = join(job, "page.html");
    writeFileSync(card, "mine");
    owned(card);
    const before = readdirSync(job);
    const ran = without(card, mode, () => runHeldBack("page", "--out", card));
    expectRefused(ran, /Nothing was written: you may not read or write there; .*page\.html\./);
    expect(readdirSync(job)).toEqual(before);
    expect(readFileSync(card, "utf8")).toBe("mine");
  });

  it("a folder that may be written to and not listed takes a file", () => {
    const box = join(ownJob(), "box");
    mkdirSync(box);
    owned(box);
    const ran = without(box, 0o300, () => runHeldBack("pattern", "diamond", "--out", join(box, "a.svg")));
    expect(ran.code).toBe(0);
    expect(complaints(ran.stderr)).toBe("");
    expect(readdirSync(box)).toEqual(["a.svg"]);
  });
});
