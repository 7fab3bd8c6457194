import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import { writeFiles } from "../../src/files/write-files.js";

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
