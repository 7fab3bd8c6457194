import { execFile } from "node:child_process";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { type BenchLine, lineOf, median } from "./bench-line.js";

const SIZES = [1e4, 1e5, 1e6, 1e7];
const MOST_MEGABYTES = 300;
/** The cost of a trial must not grow with their number. */
const STEADY = 1.2;

interface GrowthRun {
  readonly nsPerTrial: number;
  readonly megabytes: number;
}

const own = fileURLToPath(new URL("./growth-run.js", import.meta.url));

/** Each number of trials in a process of its own, start and all: time a trial, and the most memory it ever had. */
async function growthRun(trials: number): Promise<GrowthRun> {
  const { stdout } = await promisify(execFile)(process.execPath, [own, String(trials)]);
  return JSON.parse(stdout) as GrowthRun;
}

/** Time a trial from 10⁴ to 10⁷ trials on one thread, and the memory of the largest run. */
export async function growthLines(repeats: number): Promise<BenchLine[]> {
  const runs = new Map(SIZES.map((trials) => [trials, [] as GrowthRun[]]));
  for (let repeat = 0; repeat < repeats; repeat++) {
    for (const trials of SIZES) runs.get(trials)!.push(await growthRun(trials));
  }
  const times = (trials: number) => runs.get(trials)!.map(({ nsPerTrial }) => nsPerTrial);
  const million = times(1e6);
  const lines = SIZES.map((trials) =>
    lineOf(
      `a trial of 10^${Math.log10(trials)} / of 10^6, first order`,
      times(trials).map((time, k) => time / million[k]!),
      trials === 1e7 ? STEADY : null,
      "at most",
      median(times(trials)),
      trials < 1e6 ? "with the kernel's making, which is the same for any number" : "",
    ),
  );
  const memory = runs.get(1e7)!.map(({ megabytes }) => megabytes);
  return [...lines, lineOf("memory of 10^7 trials, MB", memory, MOST_MEGABYTES, "at most", null)];
}
