import { readFileSync, rmSync } from "node:fs";
import { join, resolve } from "node:path";
import fc from "fast-check";
import { expect, it } from "vitest";
import { runSukimaIn } from "../../cli/support/run-sukima.js";
import { inFolder } from "../../io/in-folder.js";
import { applyEdits, edits } from "./edits.js";

const COUNT = 100;
const AT_ONCE = 2;
const JOB = resolve(import.meta.dirname, "../../../data/alcove-screen");

/** Command lines that are soon done, and say no. */
const GOOD: readonly (readonly string[])[] = [
  ["--help"],
  ["new", "OUT/screen", "--units", "in", "--pattern", "diamond"],
  ["pattern", "asanoha-square", "--size", "opening=60 mm", "--out", "OUT/a.svg"],
  ["predict", "OUT/job.yaml", "--json"],
  ["gauge", `${JOB}/gauge.csv`, "--json"],
  ["batch", `${JOB}/batch.csv`, "--target", "24.1 mm", "--deviation", "0.05 mm"],
  ["page", "--out", "OUT/page.html", "--job", "OUT"],
  ["mystery", "--seed", "7", "--faults", "2", "--out", "OUT/mystery"],
  ["draw", "--job", "OUT"],
  ["draw", "cell", "--job", "OUT", "--out", "OUT/b.png", "--width", "300"],
  ["simulate", JOB, "--out", "OUT/c.csv"],
  ["calibrate", "OUT", "--seed", "3"],
  ["cutlist", "OUT", "--out", "OUT/cut"],
  ["season", "OUT", "--cells", "20"],
  ["explain", "OUT", "--saw", "hinge-1.end-right heel open"],
];

const lineOf = fc.tuple(
  fc.constantFrom(...GOOD),
  fc.nat(20),
  edits,
  fc.constantFrom("edit", "edit", "drop", "twice", "other", "file"),
  fc.constantFrom(...GOOD.flat()),
);

it(`${COUNT} spoilt command lines end with a known code and a message for people`, {
  timeout: 3_600_000,
}, async () => {
  const lines = fc.sample(lineOf, { seed: 11, numRuns: COUNT });
  const codes = new Map<number, number>();
  const tryOne = async ([good, at, done, way, other]: (typeof lines)[number]): Promise<void> => {
    const job = readFileSync(join(JOB, "job.yaml"), "utf8");
    const folder = inFolder({ "job.yaml": way === "file" ? applyEdits(job, done) : job });
    const args = good.map((arg) => arg.replace("OUT", folder));
    const i = at % args.length;
    if (way === "drop") args.splice(i, 1);
    else if (way === "twice") args.splice(i, 0, args[i]!);
    else if (way === "other") args[i] = other.replace("OUT", folder);
    else if (way === "edit")
      args[i] = args[i]!.startsWith(folder)
        ? `${folder}${spoilt(args[i]!.slice(folder.length), done)}`
        : spoilt(args[i]!, done);
    const { code, stdout, stderr } = await runSukimaIn(folder, ...args);
    const said = `${JSON.stringify(args)} ${way}\n${stderr.slice(0, 600)}`;
    expect([0, 1, 2], said).toContain(code);
    expect(stderr, said).not.toMatch(/\n\s+at .*:\d+:\d+|fault in sukima/);
    expect(stdout + stderr, said).not.toMatch(/(?![\n\t])\p{Cc}|[\u202A-\u202E\u2066-\u2069]/u);
    if (code !== 0) expect(stderr.trim(), said).not.toBe("");
    codes.set(code, (codes.get(code) ?? 0) + 1);
    rmSync(folder, { recursive: true, force: true });
  };
  for (let i = 0; i < lines.length; i += AT_ONCE) await Promise.all(lines.slice(i, i + AT_ONCE).map(tryOne));
  // All ways out are taken.
  expect([...codes.keys()].sort()).toEqual([0, 1, 2]);
});

/** A command line holds no sign of number 0, and has an end. */
const spoilt = (arg: string, done: Parameters<typeof applyEdits>[1]): string =>
  Buffer.from(applyEdits(arg, done)).toString("utf8").replaceAll("\0", "").slice(0, 2000);
