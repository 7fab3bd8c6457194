import { spawn } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { inFolder } from "../../io/in-folder.js";

const ROOT = resolve(import.meta.dirname, "../../..");
const MAIN = join(ROOT, "dist/cli/main.js");
const WRITER = resolve(import.meta.dirname, "support/write-for-ever.mjs");
const JOB = join(ROOT, "data/alcove-screen");
/** Moments of killing are drawn from this. */
const SEED = 50;

/** Runs a script of Node, killed after a time (ms) from its first word, or from its start when it has none. */
function run(
  args: readonly string[],
  killAfter: number | null,
  fromFirstWord = false,
  signal: NodeJS.Signals = "SIGKILL",
): Promise<number> {
  const began = performance.now();
  const child = spawn(process.execPath, args, { stdio: ["ignore", "pipe", "ignore"] });
  const kill = (): void => {
    if (killAfter !== null) setTimeout(() => child.kill(signal), killAfter);
  };
  if (fromFirstWord) child.stdout!.once("data", kill);
  else kill();
  child.stdout!.resume();
  return new Promise((done) => child.once("exit", () => done(performance.now() - began)));
}

/** How many of 20 kills in the middle of the writing leave half a file, and how many leave something beside it. */
async function torn(
  way: "whole" | "plain",
  signal: NodeJS.Signals = "SIGKILL",
): Promise<{ half: number; beside: number }> {
  const random = createStream(SEED);
  let [half, beside] = [0, 0];
  for (let i = 0; i < 20; i++) {
    const path = join(inFolder({}), "page.html");
    writeFileSync(path, "a".repeat(4_000_000));
    await run([WRITER, path, way], 5 + 95 * random.uniform(), true, signal);
    const found = readFileSync(path, "utf8");
    if (found.length !== 4_000_000 || !/^(a+|b+)$/.test(found)) half++;
    if (readdirSync(dirname(path)).length > 1) beside++;
  }
  return { half, beside };
}

describe("killed while it writes without a pause, 20 times", () => {
  it("leaves a whole file", async () => {
    const { half, beside } = await torn("whole");
    expect(half).toBe(0);
    // Nothing holds SIGKILL: what it leaves beside goes with the next writing.
    expect(beside).toBeGreaterThan(0);
  });

  it.each(["SIGINT", "SIGTERM", "SIGHUP"] as const)(
    "ended by %s leaves nothing beside it either",
    async (signal) => {
      expect(await torn("whole", signal)).toEqual({ half: 0, beside: 0 });
    },
  );

  it("would leave half a file, were it written in place", async () => {
    expect((await torn("plain")).half).toBeGreaterThan(0);
  });
});

describe("a command killed at any moment", () => {
  it.each([
    ["page", 9, (out: string) => ["page", "--out", join(out, "page.html")]],
    ["card", 8, (out: string) => ["card", newJob(), "--out", join(out, "card.html")]],
    ["cutlist", 8, (out: string) => ["cutlist", newJob(), "--out", out]],
    ["notebook", 5, (out: string) => ["notebook", shortNotebook(), "--job", JOB, "--out", out]],
  ] as const)(
    "%s leaves each previous file whole or the new one whole, %i times",
    async (_, times, args) => {
      const good = join(inFolder({}), "out");
      const takes = await run([MAIN, ...args(good)], null);
      const names = readdirSync(good);
      expect(names.length).toBeGreaterThan(0);
      const random = createStream(SEED);
      for (let i = 0; i < times; i++) {
        const out = join(inFolder({}), "out");
        mkdirSync(out);
        for (const name of names) writeFileSync(join(out, name), `previous ${name}`);
        await run([MAIN, ...args(out)], 1.05 * takes * random.uniform());
        for (const name of names) {
          const found = readFileSync(join(out, name), "utf8");
          const isNew = found === readFileSync(join(good, name), "utf8");
          expect(isNew || found === `previous ${name}`, `${name}, kill ${i}: ${found.slice(0, 60)}`).toBe(
            true,
          );
        }
      }
    },
    180_000,
  );
});

/** A job that nothing was measured for yet: its card and its cut list are made in no time. */
function newJob(): string {
  const of = (name: string): string => readFileSync(join(JOB, name), "utf8");
  return inFolder({ "job.yaml": of("job.yaml"), "trials.csv": `${of("trials.csv").split("\n")[0]}\n` });
}

function shortNotebook(): string {
  const cell = {
    cell_type: "code",
    id: "a",
    metadata: {},
    execution_count: null,
    source: "1 + 1",
    outputs: [],
  };
  const notebook = { nbformat: 4, nbformat_minor: 5, metadata: {}, cells: [cell] };
  return join(inFolder({ "short.ipynb": JSON.stringify(notebook) }), "short.ipynb");
}
