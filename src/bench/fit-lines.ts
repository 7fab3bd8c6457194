import { execFileSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { fitSources } from "../calibrate/fit-sources.js";
import { loadJob } from "../job/load-job.js";
import { loadTrials } from "../job/load-trials.js";
import type { Order } from "../lattice/cell.js";
import type { Reading } from "../readings/reading.js";
import { type BenchLine, lineOf, median } from "./bench-line.js";
import { interleave, ratios, type Timed } from "./interleave.js";

const DEMO = fileURLToPath(new URL("../../data/alcove-screen", import.meta.url));
const CLI = fileURLToPath(new URL("../cli/main.js", import.meta.url));
const SIZES = [10, 60, 100, 1000] as const;
/** A fit of this many readings is what a maker waits for, s. */
const [USUAL, MOST_SECONDS] = [60, 0.5];
const NS = 1e9;
const NS_PER_MS = 1e6;

/** How long a fit takes as readings grow in number, the demo job's taken over and over as further trials; and a first prediction against a Node that does nothing. */
export function fitLines(repeats: number): BenchLine[] {
  const job = loadJob(DEMO);
  const own = loadTrials(DEMO, job);
  const fitOf = (count: number, order: Order = "exact"): Timed => {
    const readings = repeated(own, count);
    const run = (): void => void fitSources({ ...job, order }, readings);
    return { name: order === "exact" ? `${count}` : order, trials: 1, run };
  };
  const times = interleave([...SIZES.map((size) => fitOf(size)), fitOf(USUAL, "first")], repeats);
  const of = (size: number): number[] => times.get(`${size}`)!;
  const seconds = (name: string, ns: number[]): BenchLine =>
    lineOf(
      name,
      ns.map((time) => time / NS),
      MOST_SECONDS,
      "at most",
      median(ns),
    );
  const growth = SIZES.filter((size) => size !== 10).map((size) =>
    lineOf(
      `fit of ${size} readings / of 10, exact order`,
      ratios(of(size), of(10)),
      null,
      "at most",
      median(of(size)),
    ),
  );
  return [
    ...growth,
    seconds(`fit of ${USUAL} readings, exact order, seconds`, of(USUAL)),
    seconds(`fit of ${USUAL} readings, first order, seconds`, times.get("first")!),
    startUpLine(repeats),
  ];
}

/** A first prediction from the shell against a Node that does nothing, by the clock: a process's own time does not count its children's. */
function startUpLine(repeats: number): BenchLine {
  const clock = (...args: string[]): number => {
    const start = performance.now();
    execFileSync(process.execPath, args);
    return (performance.now() - start) * NS_PER_MS;
  };
  const pairs = Array.from(
    { length: repeats },
    () => [clock("-e", "0"), clock(CLI, "predict", DEMO)] as const,
  );
  const name = "start-up to first result of predict / node -e 0";
  const times = pairs.map(([, predict]) => predict);
  return lineOf(
    name,
    ratios(
      times,
      pairs.map(([node]) => node),
    ),
    null,
    "at most",
    median(times),
  );
}

/** So many readings: the first ones, then the same again as those of further trials. */
function repeated(readings: readonly Reading[], count: number): Reading[] {
  return Array.from({ length: count }, (_, k) => {
    const round = Math.floor(k / readings.length);
    const reading = readings[k % readings.length]!;
    return round === 0
      ? reading
      : { ...reading, id: `${reading.id}-${round}`, trial: `${reading.trial}-${round}` };
  });
}
