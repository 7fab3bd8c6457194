import path from "node:path/posix";
import { describe, expect, it } from "vitest";

Object.assign(globalThis, { SHIPPED_FILES: { "/sukima/data/patterns/one.yaml": "pattern: one" } });
const memory = await import("../../../src/features/sheet/browser/memory-files.js");

const PATHS = [
  "",
  ".",
  "a",
  "a/b",
  "./a//b/",
  "../a",
  "a/../b",
  "/a/./b",
  "/a/../../b",
  "a.yaml",
  "/x/job.yaml",
  ".hidden",
];

describe("paths in the page", () => {
  it("are taken apart and put together as Node does", () => {
    for (const one of PATHS) {
      expect(memory.isAbsolute(one)).toBe(path.isAbsolute(one));
      expect(memory.normalize(one)).toBe(path.normalize(one).replace(/(?<=.)\/$/, ""));
      for (const two of PATHS)
        expect(memory.join(one, two)).toBe(path.join(one, two).replace(/(?<=.)\/$/, ""));
    }
    for (const one of ["a/b.c", "/a/b", "b", "/a"]) {
      expect(memory.dirname(one)).toBe(path.dirname(one));
      expect(memory.basename(one)).toBe(path.basename(one));
      expect(memory.basename(one, ".c")).toBe(path.basename(one, ".c"));
      expect(memory.extname(one)).toBe(path.extname(one));
      for (const two of ["/a/b", "/c", "/a"])
        expect(memory.relative(`/${one}`, two)).toBe(path.relative(`/${one}`, two));
    }
  });
});

describe("files in the page", () => {
  it("are those of one folder, beside those that come with the page", () => {
    memory.holdFiles("my/screen", { "job.yaml": "a", "sub/record.yaml": "b" });
    expect(memory.resolve("job.yaml")).toBe("/myscreen/job.yaml");
    expect(memory.existsSync("sub")).toBe(true);
    expect(memory.readFileSync("sub/record.yaml", "utf8")).toBe("b");
    memory.holdFiles("other", { "job.yaml": new Uint8Array([99]) });
    expect(memory.readFileSync("job.yaml", "utf8")).toBe("c");
    expect(memory.existsSync("sub/record.yaml")).toBe(false);
    expect(memory.readdirSync("/sukima/data/patterns")).toEqual(["one.yaml"]);
    expect(() => memory.readFileSync("none")).toThrow(expect.objectContaining({ code: "ENOENT" }));
    expect(memory.statSync("none", { throwIfNoEntry: false })).toBeUndefined();
    expect(memory.statSync(".")?.isDirectory()).toBe(true);
  });
});
