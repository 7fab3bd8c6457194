import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { freeGaps } from "../../../src/physics/predict/equilibrium.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import {
  type BenchLine,
  benchKernel,
  drawnErrors,
  drawnTrials,
  interleave,
  lineOf,
  median,
  model,
  seatDrawn,
  skippedLine,
} from "./bench-line.js";
import { linearProblem } from "./seating-lines.js";

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

/**
 * The first-order seating of many trials at once in NumPy, as one would write it there: batched solves, warm start with every spring weak, only trials that are not yet at rest
 * in the next step, a line search (by halving, for all of them at once) for those that go round in a circle.
 */
export const NUMPY_SCRIPT = `
import json, sys, time
import numpy as np

folder, repeats = sys.argv[1], int(sys.argv[2])
size = json.load(open(folder + "/size.json"))
probes, n, trials, ratio = size["probes"], size["coordinates"], size["trials"], size["pressRatio"]
read = lambda name, *shape: np.fromfile(folder + "/" + name, dtype=np.float64).reshape(shape)
G, w, free = read("slopes", probes, n), read("weight", probes), read("free", trials, probes)
outer = (w[:, None, None] * G[:, :, None] * G[:, None, :]).reshape(probes, n * n)
wG = w[:, None] * G
weak = np.linalg.inv(G.T @ wG) @ wG.T

def solve(b, pressed):
    k = np.where(pressed, ratio, 1.0)
    H = (k @ outer).reshape(-1, n, n)
    q = np.linalg.solve(H, -((k * b) @ wG)[:, :, None])[:, :, 0]
    return b + q @ G.T

def best_share(g, c):
    def slope(a):
        x = g + a[:, None] * c
        return (w * np.where(x < 0, ratio, 1.0) * x * c).sum(axis=1)
    low, high = np.zeros(len(g)), np.ones(len(g))
    while True:
        more = slope(high) < 0
        if not more.any(): break
        low, high = np.where(more, high, low), np.where(more, 2 * high, high)
    for _ in range(40):
        middle = (low + high) / 2
        down = slope(middle) < 0
        low, high = np.where(down, middle, low), np.where(down, high, middle)
    return (low + high) / 2

def seat(b):
    out = np.empty_like(b)
    active = np.arange(len(b))
    g = b - b @ weak.T @ G.T
    step = 0
    while len(active):
        pressed = g < 0
        target = solve(b[active], pressed)
        done = ((target < 0) == pressed).all(axis=1)
        out[active[done]] = target[done]
        active, g, target = active[~done], g[~done], target[~done]
        if step >= 8 and len(active):
            share = best_share(g, target - g)
            g = g + share[:, None] * (target - g)
        else:
            g = target
        step += 1
        if step > 60: raise SystemExit("some trials found no rest")
    return out

times = []
for repeat in range(repeats + 1):
    start = time.process_time()
    gaps = seat(free)
    times.append((time.process_time() - start) / trials * 1e9)
gaps.tofile(folder + "/gaps")
print(json.dumps({"times": times[1:], "version": np.__version__}))
`;
