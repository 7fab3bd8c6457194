import { at } from "./geometry.js";
import type { Posterior } from "./posterior.js";
import { factor, solve, solveUpper } from "./seating.js";

/** Mulberry32: a small generator of uniform numbers. */
function uniforms(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

const normals = (uniform: () => number) => (): number =>
  Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());

interface Plan {
  readonly seed: number;
  readonly chains: number;
  readonly draws: number;
}

/** Draws of sources and scatters: row-major (draw, unknown), the chains one after the other. */
export interface Draws {
  readonly width: number;
  readonly chains: number;
  readonly rows: Float64Array;
  readonly accepted: number;
}

const CLIMBS = 6;
const MOST_CLIMBING = 15;
const PILOT = 120;
const TUNE = 120;
/** Length of a path in units of the posterior's width, and most steps of one. */
const PATH = 2;
const MOST_STEPS = 24;
const LEAST_STEP = 0.15;

/**
 * Hamiltonian Monte Carlo. The path follows the slopes of first order, which are cheap; whether its end is taken is decided by the density in the job's order, so what is
 * drawn is the posterior in that order whatever the path was. The mass is the information of the readings at places of a pilot run.
 */
export function draw(posterior: Posterior, { seed, chains, draws }: Plan): Draws {
  const n = posterior.size;
  const width = posterior.sources.length + 3;
  const uniform = uniforms(seed);
  const normal = normals(uniform);
  // Of two places as high, the one that few readings pull to by their mistakes is the lower: the highest of several climbs is where the posterior is.
  const climbs = Array.from({ length: CLIMBS }, (_, k) =>
    climb(
      posterior,
      Float64Array.from({ length: n }, (_, i) => (k > 0 && i < posterior.sources.length ? normal() : 0)),
    ),
  );
  const start = climbs.reduce((a, b) => (b.log > a.log ? b : a)).theta;
  let root = rootAt(posterior, [start]);
  let step = 0.3;
  let accepted = 0;
  const run = (theta: Float64Array, rounds: number, tune: boolean, keep: (theta: Float64Array) => void) => {
    let here = theta;
    let log = posterior.log(here, posterior.order);
    for (let k = 0; k < rounds; k++) {
      const momentum = Float64Array.from({ length: n }, normal);
      const steps = Math.min(MOST_STEPS, Math.max(2, Math.round((PATH * (0.7 + 0.6 * uniform())) / step)));
      const path = follow(posterior, root, here, momentum, step, steps);
      const next = path && posterior.log(path.theta, posterior.order);
      const rise =
        path && next !== null
          ? next - log + kinetic(momentum) - kinetic(path.momentum)
          : Number.NEGATIVE_INFINITY;
      const taken = Math.log(1 - uniform()) < rise;
      if (taken && path && next !== null) [here, log] = [path.theta, next];
      const rescaled = posterior.rescaled(here, normal);
      log += posterior.prior(rescaled) - posterior.prior(here);
      here = rescaled;
      if (tune) step *= Math.exp((Math.min(1, Math.exp(rise)) - 0.75) / Math.sqrt(k / 4 + 4));
      else if (taken) accepted++;
      keep(here);
    }
    return here;
  };
  // The pilot: the information at places along its second half.
  const places: Float64Array[] = [];
  let here = run(start, PILOT, true, (theta) => places.push(theta));
  root = rootAt(
    posterior,
    places.filter((_, k) => k > PILOT / 2 && k % 6 === 0),
  );
  step = Math.max(step, LEAST_STEP);
  here = run(here, TUNE, true, () => {});
  const second: Float64Array[] = [];
  here = run(here, TUNE, true, (theta) => second.push(theta));
  root = rootAt(
    posterior,
    second.filter((_, k) => k % 6 === 0),
  );
  step = Math.max(step, LEAST_STEP);
  here = run(here, TUNE, true, () => {});
  const rows = new Float64Array(chains * draws * width);
  let to = 0;
  for (let c = 0; c < chains; c++) {
    // Each chain leaves the end of the pilot by itself.
    const from = run(here, 60, false, () => {});
    accepted = c === 0 ? 0 : accepted;
    run(from, draws, false, (theta) => {
      rows.set(theta.subarray(0, width), to);
      to += width;
    });
  }
  return { width, chains, rows, accepted: accepted / (chains * draws) };
}

/** From a place to where the density is high, by Gauss–Newton steps that never lower it. */
function climb(
  posterior: Posterior,
  from: Float64Array,
): { readonly theta: Float64Array; readonly log: number } {
  const n = posterior.size;
  let theta = from;
  let log = posterior.log(theta, "first");
  for (let k = 0; k < MOST_CLIMBING; k++) {
    const step = new Float64Array(n);
    posterior.log(theta, "first", step);
    solve(rootAt(posterior, [theta]), n, step);
    let share = 1;
    for (; share > 1e-3; share /= 2) {
      const next = theta.map((value, i) => value + share * step[i]!);
      const there = posterior.log(next, "first");
      if (!(there > log)) continue;
      [theta, log] = [next, there];
      break;
    }
    if (share <= 1e-3) break;
  }
  return { theta, log };
}

const kinetic = (momentum: Float64Array): number => momentum.reduce((sum, p) => sum + (p * p) / 2, 0);

/** Cholesky factor of the mean information, prior included, at some places. */
function rootAt(posterior: Posterior, places: readonly Float64Array[]): Float64Array {
  const n = posterior.size;
  const p = posterior.sources.length;
  const information = new Float64Array(n * n);
  for (let i = 0; i < n; i++) information[i * n + i] = i >= p && i < p + 3 ? 12 : 1;
  for (const theta of places)
    for (const { curvature, row } of posterior.informationRows(theta)) {
      const used = [...row.keys()].filter((i) => row[i] !== 0);
      for (const i of used)
        for (const j of used)
          information[i * n + j]! += (curvature * at(row, i) * at(row, j)) / places.length;
    }
  return factor(information, n);
}

/** Leapfrog in coordinates in which the information is the unit matrix; null where the path leaves every sensible place. */
function follow(
  posterior: Posterior,
  root: Float64Array,
  theta: Float64Array,
  momentum: Float64Array,
  step: number,
  steps: number,
): { theta: Float64Array; momentum: Float64Array } | null {
  const n = theta.length;
  const p = momentum.slice();
  let here = theta.slice();
  const force = (): Float64Array => {
    const gradient = new Float64Array(n);
    posterior.log(here, "first", gradient);
    return lower(root, n, gradient);
  };
  try {
    let push = force();
    for (let k = 0; k < steps; k++) {
      for (let i = 0; i < n; i++) p[i]! += (step / 2) * push[i]!;
      const way = p.slice();
      solveUpper(root, n, way);
      here = here.map((value, i) => value + step * way[i]!);
      push = force();
      for (let i = 0; i < n; i++) p[i]! += (step / 2) * push[i]!;
    }
  } catch {
    return null;
  }
  return here.every(Number.isFinite) ? { theta: here, momentum: p } : null;
}

/** L⁻¹·b. */
function lower(root: Float64Array, n: number, b: Float64Array): Float64Array {
  for (let i = 0; i < n; i++) {
    let sum = b[i]!;
    for (let k = 0; k < i; k++) sum -= root[i * n + k]! * b[k]!;
    b[i] = sum / root[i * n + i]!;
  }
  return b;
}

/** Mean and standard deviation of one unknown, and the effective sample size for either. */
export interface Moments {
  readonly mean: number;
  readonly sd: number;
  readonly size: number;
  readonly sizeForSd: number;
}

export function momentsOf({ rows, width, chains }: Draws, i: number, by = (x: number): number => x): Moments {
  const all = Float64Array.from({ length: rows.length / width }, (_, k) => by(at(rows, k * width + i)));
  const mean = all.reduce((sum, x) => sum + x, 0) / all.length;
  const squares = all.map((x) => (x - mean) ** 2);
  const variance = squares.reduce((sum, x) => sum + x, 0) / all.length;
  const sizeForSd = effectiveSize(squares, variance, chains);
  return { mean, sd: Math.sqrt(variance), size: effectiveSize(all, mean, chains), sizeForSd };
}

/**
 * Effective sample size by the autocorrelation within chains about the mean of all, summed while neighbouring pairs are positive (C. J. Geyer, Statist. Sci. 7, 1992). Paths that
 * swing to the other side make a mean better than independent draws would; that is not counted.
 */
function effectiveSize(all: Float64Array, mean: number, chains: number): number {
  const each = all.length / chains;
  const variance = all.reduce((sum, x) => sum + (x - mean) ** 2, 0) / all.length;
  const correlation = (lag: number): number => {
    let sum = 0;
    for (let c = 0; c < chains; c++)
      for (let k = 0; k + lag < each; k++)
        sum += (at(all, c * each + k) - mean) * (at(all, c * each + k + lag) - mean);
    return sum / (chains * (each - lag)) / variance;
  };
  let time = 1;
  for (let lag = 1; lag + 1 < each / 2; lag += 2) {
    const pair = correlation(lag) + correlation(lag + 1);
    if (pair <= 0) break;
    time += 2 * pair;
  }
  return all.length / Math.max(time, 1);
}
