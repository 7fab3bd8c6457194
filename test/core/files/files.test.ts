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
import { LEFT_OVER_AFTER_MS, writeFile, writeFiles } from "../../../src/core/files.js";

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

it("removes what a killed process left beside the file, once it is old, and nothing else", () => {
  const old = new Date(Date.now() - 2 * LEFT_OVER_AFTER_MS);
  for (const name of [".a.html.4711.new", ".a.html.4711.old", ".a.html.note", ".b.html.4711.new"]) {
    writeFileSync(join(folder, name), "left");
    utimesSync(join(folder, name), old, old);
  }
  writeFileSync(join(folder, ".a.html.4712.new"), "another process, at work");
  writeFiles(folder, { "a.html": "new" });
  expect(readdirSync(folder).sort()).toEqual([
    ".a.html.4712.new",
    ".a.html.note",
    ".b.html.4711.new",
    "a.html",
  ]);
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
  expect(writers.sort()).toEqual(["core/files.ts", "render/notebook/connection.ts"]);
});
