import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { MAX_FILE_BYTES, readText } from "../../src/io/files.js";
import { faultsOf, inFolder } from "./in-folder.js";

const file = (content: string | Uint8Array): string => join(inFolder({ "a.csv": content }), "a.csv");
const refusal = (content: string | Uint8Array) => faultsOf(() => readText(file(content)));

describe("the text of a file", () => {
  it("comes without its byte order mark and with one kind of line end", () => {
    expect(readText(file("\uFEFFa\r\nb\rc\n22.5°"))).toBe("a\nb\nc\n22.5°");
    expect(readText(file(""))).toBe("");
  });

  it.each([
    ["UTF-16, least significant byte first", Buffer.from("\uFEFFid,trial", "utf16le")],
    ["UTF-16, most significant byte first", Buffer.from("\uFEFFid,trial", "utf16le").swap16()],
    ["UTF-16 without a mark", Buffer.from("id,trial", "utf16le")],
  ])("is not read from %s", (_, bytes) => {
    expect(refusal(bytes)).toMatchObject([{ line: 0, sentence: expect.stringMatching(/UTF-16.*CSV UTF-8/) }]);
  });

  it("is not read from Latin-1; the line with the degree sign is named", () => {
    const bytes = Buffer.from("id,unit\nr1,deg\nr2,°\n", "latin1");
    expect(refusal(bytes)).toMatchObject([
      { line: 3, sentence: expect.stringMatching(/not in UTF-8: line 3/) },
    ]);
  });

  it("has its limit, and a file just below is read", () => {
    expect(readText(file(new Uint8Array(MAX_FILE_BYTES).fill(32)))).toHaveLength(MAX_FILE_BYTES);
    const [fault] = refusal(new Uint8Array(MAX_FILE_BYTES + 1).fill(32));
    expect(fault!.sentence).toMatch(/at most 5 MB are read; it has 5.0 MB/);
  });

  it("is not that of a folder", () => {
    const folder = inFolder({});
    mkdirSync(join(folder, "job.yaml"));
    expect(faultsOf(() => readText(join(folder, "job.yaml")))[0]!.sentence).toMatch(/not a file/);
  });
});
