import { spawn } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { writeFiles } from "../../../src/core/files.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { inFolder } from "../../io/in-folder.js";

const WRITER = resolve(import.meta.dirname, "support/write-groups.mjs");
const NAMES = [0, 1, 2, 3, 4].map((k) => `file-${k}`);

/** Starts a writer of groups and waits for its first word. */
async function writer(folder: string, letter: string) {
  const child = spawn(process.execPath, [WRITER, folder, letter], { stdio: ["ignore", "pipe", "inherit"] });
  await new Promise((begun) => child.stdout.once("data", begun));
  const ended = new Promise((done) => child.once("exit", done));
  return {
    kill: async () => {
      child.kill("SIGKILL");
      await ended;
    },
  };
}
const pause = (ms: number) => new Promise((done) => setTimeout(done, ms));
const runsIn = (folder: string): Set<string> =>
  new Set(NAMES.map((name) => readFileSync(join(folder, name), "utf8")));

describe("a group of five files", () => {
  it("is never of two runs, though its writer is killed 40 times: the next to write completes it", async () => {
    const random = createStream(50);
    let mended = 0;
    for (let i = 0; i < 40; i++) {
      const folder = inFolder(Object.fromEntries(NAMES.map((name) => [name, "before"])));
      const one = await writer(folder, "a");
      await pause(5 + 60 * random.uniform());
      await one.kill();
      if (runsIn(folder).size > 1 || readdirSync(folder).length > NAMES.length) mended++;
      writeFiles(folder, { "other-1": "x", "other-2": "x" });
      expect(runsIn(folder).size, `kill ${i}`).toBe(1);
      expect(readdirSync(folder).filter((name) => /^\.sukima/.test(name))).toEqual([]);
    }
    // Or nothing was tried.
    expect(mended).toBeGreaterThan(0);
  });

  it("is never of two runs, though two write to the same folder", async () => {
    for (let i = 0; i < 5; i++) {
      const folder = inFolder(Object.fromEntries(NAMES.map((name) => [name, "before"])));
      const both = await Promise.all([writer(folder, "a"), writer(folder, "b")]);
      await pause(400);
      await Promise.all(both.map((one) => one.kill()));
      writeFiles(folder, { "other-1": "x", "other-2": "x" });
      expect(runsIn(folder).size).toBe(1);
    }
  });
});
