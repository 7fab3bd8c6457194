import {
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import { UserError } from "../../../src/core/errors.js";
import { writeFile, writeFiles } from "../../../src/core/files.js";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "write-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

const content = (name: string): string => readFileSync(join(folder, name), "utf8");

it("makes the folder, writes all files and nothing else", () => {
  const out = join(folder, "deep", "out");
  const paths = writeFiles(out, { "a.html": "A", "b.bin": new Uint8Array([66]) });
  expect(paths).toEqual({ "a.html": join(out, "a.html"), "b.bin": join(out, "b.bin") });
  expect(readdirSync(out).sort()).toEqual(["a.html", "b.bin"]);
  expect(content("deep/out/b.bin")).toBe("B");
});

it("replaces the previous report and leaves other files alone", () => {
  writeFileSync(join(folder, "a.html"), "old");
  writeFileSync(join(folder, "notes.txt"), "mine");
  writeFiles(folder, { "a.html": "new" });
  expect([content("a.html"), content("notes.txt")]).toEqual(["new", "mine"]);
  expect(readdirSync(folder).sort()).toEqual(["a.html", "notes.txt"]);
});

it("leaves the previous report whole when a file cannot be written", () => {
  writeFileSync(join(folder, "a.html"), "old");
  expect(() => writeFiles(folder, { "a.html": "new", "no/such/folder": "x" })).toThrow();
  expect(content("a.html")).toBe("old");
  expect(readdirSync(folder)).toEqual(["a.html"]);
});

it("leaves the previous report whole when a file cannot take its place", () => {
  writeFileSync(join(folder, "a.html"), "old");
  mkdirSync(join(folder, "c.html"));
  expect(() => writeFiles(folder, { "a.html": "new", "b.html": "new", "c.html": "new" })).toThrow();
  expect(content("a.html")).toBe("old");
  expect(readdirSync(folder).sort()).toEqual(["a.html", "c.html"]);
});

/** No process has this number. */
const ENDED = 99_999_999;
const RANDOM = "0123456789ab";
const leftBy = (name: string, pid: number): string => `.${name}.${pid}-${RANDOM}.new`;

it("removes what a process that has ended left beside the file, and nothing else", () => {
  const others = [".a.html.note", leftBy("b.html", ENDED), leftBy("a.html", process.ppid)];
  for (const name of [leftBy("a.html", ENDED), `.a.html.${ENDED}-${RANDOM}.old`, ...others])
    writeFileSync(join(folder, name), "left");
  writeFiles(folder, { "a.html": "new" });
  expect(readdirSync(folder).sort()).toEqual([...others, "a.html"].sort());
});

it("removes what is older than any write, even if its process number was given to another", () => {
  const left = join(folder, leftBy("a.html", process.ppid));
  writeFileSync(left, "left");
  const old = new Date(Date.now() - 120_000);
  utimesSync(left, old, old);
  writeFiles(folder, { "a.html": "new" });
  expect(readdirSync(folder)).toEqual(["a.html"]);
});

it("completes the group that a killed process had begun to put in place, before it writes its own", () => {
  // Killed after the first of two was in its place.
  writeFileSync(join(folder, "a.html"), "killed");
  writeFileSync(join(folder, "b.html"), "old");
  writeFileSync(join(folder, leftBy("b.html", ENDED)), "killed");
  const list = ["a.html", "b.html"].map((name) => [leftBy(name, ENDED), name]);
  writeFileSync(join(folder, ".sukima-group"), JSON.stringify(list));
  writeFileSync(join(folder, ".sukima-writing"), String(ENDED));
  writeFiles(folder, { "c.html": "new", "d.html": "new" });
  expect([content("a.html"), content("b.html")]).toEqual(["killed", "killed"]);
  expect(readdirSync(folder).sort()).toEqual(["a.html", "b.html", "c.html", "d.html"]);
});

it.each([
  ["half a list", "["],
  ["a list that leads out of the folder", JSON.stringify([[leftBy("a.html", ENDED), "../a.html"]])],
  ["a list of files that are nobody's", JSON.stringify([["mine.txt", "a.html"]])],
])("takes no notice of %s", (_, list) => {
  writeFileSync(join(folder, ".sukima-group"), list);
  writeFileSync(join(folder, "mine.txt"), "mine");
  writeFiles(folder, { "c.html": "new", "d.html": "new" });
  expect(readdirSync(folder).sort()).toEqual(["c.html", "d.html", "mine.txt"]);
});

it("does not follow a link that someone laid at the name of a temporary file", () => {
  writeFileSync(join(folder, "victim"), "mine");
  for (const end of ["new", "old"]) symlinkSync("victim", join(folder, `.a.html.${process.pid}.${end}`));
  writeFiles(folder, { "a.html": "new" });
  expect(content("victim")).toBe("mine");
});

it("follows a link and keeps the rights of what it replaces", () => {
  writeFileSync(join(folder, "real.html"), "old", { mode: 0o640 });
  symlinkSync("real.html", join(folder, "link.html"));
  writeFiles(folder, { "link.html": "new" });
  expect(content("real.html")).toBe("new");
  expect(lstatSync(join(folder, "link.html")).isSymbolicLink()).toBe(true);
  expect(statSync(join(folder, "real.html")).mode & 0o777).toBe(0o640);
});

it("tells what is wrong in one sentence, with the name that was asked for", () => {
  expect(() => writeFile("/dev/full", "x")).toThrow(
    new UserError(
      "file",
      "Nothing was written: the disk is full; earlier content is unchanged: /dev/full. Name another place, or make room there.",
    ),
  );
});

it("is the only place that writes files, but for what nobody keeps", () => {
  const src = resolve(import.meta.dirname, "../../../src");
  const writers = readdirSync(src, { recursive: true, encoding: "utf8" }).filter(
    (name) =>
      name.endsWith(".ts") &&
      /writeFile(Sync)?\b.*"node:fs|appendFile|createWriteStream|openSync|\bwriteFileSync\(/.test(
        readFileSync(join(src, name), "utf8"),
      ),
  );
  // A notebook kernel's connection lies in a temporary folder.
  expect(writers.sort()).toEqual(["core/file-group.ts", "core/files.ts", "render/notebook/connection.ts"]);
});
