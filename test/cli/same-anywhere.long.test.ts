import { execFile } from "node:child_process";
import { cpSync, readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";

const ROOT = resolve(import.meta.dirname, "../..");
const MAIN = join(ROOT, "dist/cli/main.js");

interface Place {
  readonly folder: string;
  readonly env?: Readonly<Record<string, string>>;
  readonly threads: string;
}

/** What these commands print and write, in one place. */
async function answers({ folder, env = {}, threads }: Place): Promise<Record<string, string>> {
  const job = join(inFolder({}), folder);
  cpSync(join(ROOT, "data/alcove-screen"), job, { recursive: true });
  const all: Record<string, string> = {};
  const run = async (name: string, ...args: string[]): Promise<void> => {
    const { stdout } = await promisify(execFile)(process.execPath, [MAIN, ...args], {
      env: { ...process.env, ...env },
      maxBuffer: 2 ** 26,
    });
    all[name] = stdout.replaceAll(job, "JOB");
  };
  await run("predict", "predict", join(job, "job.yaml"), "--json");
  await run("forecast", "predict", job, "--uncertain", "--json", "--trials", "2000", "--threads", threads);
  await run("panel", "panel", job, "--json", "--panels", "20", "--quick", "--threads", threads);
  await run("season", "season", job, "--json", "--cells", "100");
  await run("cutlist", "cutlist", job, "--json", "--out", join(job, "cut ✂"));
  await run("simulate", "simulate", job);
  for (const picture of ["spread", "ramp-of-point-45-sharp"])
    await run(picture, "draw", picture, "--job", job, "--out", join(job, `${picture} ✂.svg`));
  for (const name of readdirSync(join(job, "cut ✂")))
    if (name.endsWith(".csv")) all[name] = readFileSync(join(job, "cut ✂", name), "utf8");
  for (const name of readdirSync(job))
    if (name.endsWith(".svg")) all[name] = readFileSync(join(job, name), "utf8");
  return all;
}

it("JSON, tables and drawings are the same bytes anywhere", { timeout: 300_000 }, async () => {
  const here = await answers({ folder: "screen", threads: "1" });
  expect(Object.keys(here).length).toBeGreaterThan(9);
  for (const text of Object.values(here)) expect(text.length).toBeGreaterThan(100);
  const other = {
    folder: "my screen, Ōsaka 組子",
    env: { LANG: "de_DE.UTF-8", LC_ALL: "tr_TR.UTF-8", TZ: "Pacific/Kiritimati" },
    threads: "3",
  };
  expect(await answers(other)).toEqual(here);
});

it("another seed is seen to be another answer", { timeout: 300_000 }, async () => {
  const forecast = async (seed: string): Promise<string> => {
    const args = [
      MAIN,
      "predict",
      join(ROOT, "data/alcove-screen"),
      "--uncertain",
      "--json",
      "--trials",
      "2000",
      "--seed",
      seed,
    ];
    return (await promisify(execFile)(process.execPath, args)).stdout;
  };
  expect(await forecast("1")).not.toBe(await forecast("2"));
});
