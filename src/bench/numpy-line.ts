import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createStream } from "../numeric/random-stream.js";
import { freeGaps } from "../predict/settle.js";
import { PRESS_RATIO } from "../seating/seating-model.js";
import { benchKernel, drawnErrors, drawnTrials, model, seatDrawn } from "./bench-case.js";
import { type BenchLine, lineOf, median, skippedLine } from "./bench-line.js";
import { interleave } from "./interleave.js";
import { NUMPY_SCRIPT } from "./numpy-script.js";
import { linearProblem } from "./quadratic-programme.js";

const PYTHON = "/usr/bin/python3";
const NAME = "NumPy, batched, one thread / seating alone, first order";
const TRIALS = 8192;
/** NumPy's gaps must be the kernel's to this, mm, or the comparison is void. */
const SAME = 1e-9;

/** First-order seating of the same free gaps in NumPy, against the kernel's seating without its drawing. */
export function numpyLine(repeats: number): BenchLine {
  const folder = mkdtempSync(join(tmpdir(), "seating-bench-"));
  try {
    const drawn = drawnTrials(createStream(5), TRIALS);
    const free = Array.from({ length: TRIALS }, (_, k) => freeGaps(model, drawnErrors(drawn, k)));
    const { slopes, weight, coordinates } = linearProblem(model);
    const size = { probes: weight.length, coordinates, trials: TRIALS, pressRatio: PRESS_RATIO };
    writeFileSync(join(folder, "size.json"), JSON.stringify(size));
    writeFileSync(join(folder, "slopes"), slopes);
    writeFileSync(join(folder, "weight"), weight);
    writeFileSync(join(folder, "free"), Float64Array.from(free.flatMap((own) => [...own])));
    const one = { OMP_NUM_THREADS: "1", OPENBLAS_NUM_THREADS: "1", MKL_NUM_THREADS: "1" };
    const { status, stdout, stderr } = spawnSync(PYTHON, ["-c", NUMPY_SCRIPT, folder, String(repeats)], {
      env: { ...process.env, ...one },
      encoding: "utf8",
    });
    if (status !== 0) return skippedLine(NAME, (stderr ?? "").trim().split("\n").at(-1) || `no ${PYTHON}`);
    const { times, version } = JSON.parse(stdout) as { times: number[]; version: string };
    const kernel = benchKernel({ order: "first" });
    const gaps = new Float64Array(readFileSync(join(folder, "gaps")).buffer.slice(0) as ArrayBuffer);
    let apart = 0;
    const compare = (start: number): void => {
      for (let k = 0; k < kernel.batchTrials; k++) {
        for (let i = 0; i < weight.length; i++) {
          apart = Math.max(apart, Math.abs(gaps[(start + k) * weight.length + i]! - kernel.gap(k, i)));
        }
      }
    };
    seatDrawn(kernel, drawn, compare);
    const task = { name: "kernel", trials: TRIALS, run: () => seatDrawn(kernel, drawn) };
    const own = interleave([task], repeats).get("kernel")!;
    if (!(apart <= SAME)) throw new Error(`NumPy and the kernel differ by ${apart} mm.`);
    const kernelTime = median(own);
    const ratiosToKernel = times.map((time) => time / kernelTime);
    return lineOf(NAME, ratiosToKernel, null, "at least", median(times), `NumPy ${version}`);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
