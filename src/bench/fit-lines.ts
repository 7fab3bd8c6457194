import { execFileSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { fitSources } from "../calibrate/fit-sources.js";
import { loadJob } from "../job/load-job.js";
import { loadTrials } from "../job/load-trials.js";
import type { Reading } from "../readings/reading.js";
import { type BenchLine, lineOf, median } from "./bench-line.js";
import { interleave, ratios, type Timed } from "./interleave.js";

const DEMO = fileURLToPath(new URL("../../data/alcove-screen", import.meta.url));
const CLI = fileURLToPath(new URL("../cli/main.js", import.meta.url));
const SIZES = [10, 60, 100, 1000] as const;
/** A fit of this many readings is what a maker waits for, s. */
const [USUAL, MOST_SECONDS] = [60, 0.5];
const NS = 1e9;

/** How long a fit takes as readings grow in number, the demo job's taken over and over as further trials; and a first prediction against a Node that does nothing. */
export function fitLines(repeats: number): BenchLine[] {
  const job = loadJob(DEMO);
  const own = loadTrials(DEMO, job);
  const fit = (count: number): Timed => {
    const readings = repeated(own, count);
    return { name: `${count}`, trials: 1, run: () => void fitSources(job, readings) };
  };
  const nothing = (): void => void execFileSync(process.execPath, ["-e", "0"]);
  const first = (): void => void execFileSync(process.execPath, [CLI, "predict", DEMO]);
  const times = interleave(
    [
      ...SIZES.map(fit),
      { name: "node", trials: 1, run: nothing },
      { name: "predict", trials: 1, run: first },
    ],
    repeats,
  );
  const of = (size: number): number[] => times.get(`${size}`)!;
  const growth = SIZES.filter((size) => size !== 10).map((size) =>
    lineOf(`fit of ${size} readings / of 10`, ratios(of(size), of(10)), null, "at most", median(of(size))),
  );
  return [
    ...growth,
    lineOf(
      `fit of ${USUAL} readings, seconds`,
      of(USUAL).map((ns) => ns / NS),
      MOST_SECONDS,
      "at most",
      median(of(USUAL)),
    ),
    lineOf(
      "start-up to first result of predict / node -e 0",
      ratios(times.get("predict")!, times.get("node")!),
      null,
      "at most",
      median(times.get("predict")!),
    ),
  ];
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
