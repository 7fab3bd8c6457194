import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { at, innerProduct, rowOf } from "../../../src/core/numeric/dense.js";
import { choleskyInPlace, choleskySolveInPlace } from "../../../src/core/numeric/linear-algebra.js";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { departuresOf } from "../../../src/inference/misfit/catalogue.js";
import { orderOfCutting } from "../../../src/inference/misfit/compare-reasons.js";
import { type Departure, NO_DEPARTURE } from "../../../src/inference/misfit/departure.js";
import { fitExtended } from "../../../src/inference/misfit/extended-target.js";
import { LocalModel } from "../../../src/inference/misfit/local-model.js";
import { mixedStock } from "../../../src/inference/misfit/mixed-stock.js";
import { posteriorMode, targetDensity } from "../../../src/inference/posterior/posterior-mode.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrialPlan } from "../../../src/io/trials/load-trials.js";

const FOLDER = resolve(PACKAGE_ROOT, "data/worlds/departing");
const job = loadJob(FOLDER);
/** Angles, lengths and thicknesses alone: linear and normal, so that every evidence has a closed form. */
const plan = loadTrialPlan(`${FOLDER}/plan.csv`, job).filter(({ what }) => what !== "gap");
const sources = jobSources(job);
const truth = Float64Array.from(sources, ({ priorSd }, i) => priorSd * (i % 2 === 0 ? 0.7 : -0.4));
const readings = simulateTrials(job, plan, { truth, seed: 6 });
const target = targetDensity(job, sources, readings);
const mode = posteriorMode(target, new Float64Array(sources.length));
const order = orderOfCutting(
  target.blocks.map(({ trial }) => trial),
  readings,
);
const local = new LocalModel(target, mode, order);
const AS_STATED = [1, 1, 1];
const departures = departuresOf(job, readings, local, AS_STATED);
const oneOf = (kind: Departure["reason"]["kind"]): Departure =>
  departures.find(({ reason }) => reason.kind === kind)!;
const gainOf = (departure: Departure, ratios = AS_STATED): number =>
  local.evidence(departure, ratios).log - local.evidence(NO_DEPARTURE, ratios).log;

/** Log density of all readings as one normal vector, its covariance written out. */
function logDensity(change: {
  readonly column?: (trial: number, i: number) => number;
  readonly swap?: readonly [number, number];
  readonly scale?: (trial: number) => number;
}): number {
  const p = sources.length;
  const rows = local.trials.flatMap((trial, b) =>
    trial.readings.map((reading, i) => ({ trial, b, i, reading })),
  );
  const n = rows.length;
  const covariance = new Float64Array(n * n);
  for (const [r, one] of rows.entries()) {
    for (const [s, other] of rows.entries()) {
      let sum = innerProduct(rowOf(one.trial.bySource, one.i, p), rowOf(other.trial.bySource, other.i, p));
      const scale = (change.scale?.(one.b) ?? 1) ** 2;
      const latents = one.trial.latents;
      if (one.b === other.b)
        sum +=
          scale *
          innerProduct(
            rowOf(one.trial.byLatent, one.i, latents),
            rowOf(other.trial.byLatent, other.i, latents),
          );
      sum += (change.column?.(one.b, one.i) ?? 0) * (change.column?.(other.b, other.i) ?? 0);
      if (r === s) sum += at(one.trial.block.noise, one.i) ** 2;
      covariance[r * n + s] = sum;
    }
  }
  const off = Float64Array.from(rows, ({ trial, i }) => {
    const place = at(trial.block.places, i);
    const [a, b] = change.swap ?? [-1, -1];
    const from = place === a ? b : place === b ? a : place;
    return readings[from]!.value! - at(trial.constant, i);
  });
  choleskyInPlace(covariance, n, 0);
  let log = 0;
  for (let i = 0; i < n; i++) log -= Math.log(covariance[i * n + i]!);
  const solved = off.slice();
  choleskySolveInPlace(covariance, n, solved);
  return log - innerProduct(off, solved) / 2;
}
const plain = logDensity({});

describe("the evidence of an extension, where every reading is linear and normal", () => {
  it("is that of the readings' joint normal density: a bias, an odd trial, an exchange", () => {
    const bias = oneOf("gauge bias");
    const [unknown] = bias.unknowns;
    const instrument = bias.reason.kind === "gauge bias" ? bias.reason.instrument : "";
    const column = (b: number, i: number): number =>
      local.trials[b]!.readings[i]!.instrument === instrument ? unknown!.sd : 0;
    expect(gainOf(bias)).toBeCloseTo(logDensity({ column }) - plain, 6);

    const odd = oneOf("odd trial");
    const scale = (b: number): number => (odd.odd?.block === b ? odd.odd.factor : 1);
    expect(gainOf(odd)).toBeCloseTo(logDensity({ scale }) - plain, 6);

    const one = oneOf("swapped joint");
    const swapped = { ...one, swaps: one.swaps.slice(0, 1) };
    expect(gainOf(swapped)).toBeCloseTo(logDensity({ swap: swapped.swaps[0]! }) - plain, 6);
  });

  it("is the same with the cells seated anew", () => {
    const start = (extra: number): Float64Array => new Float64Array(sources.length + extra);
    const base = fitExtended(target, NO_DEPARTURE, AS_STATED, start(0)).log;
    for (const kind of ["gauge bias", "drift", "odd trial", "larger scatter"] as const) {
      const departure = oneOf(kind);
      const ratios = departure.scatters.map((factor) => 1.3 * factor);
      const seated = fitExtended(target, departure, ratios, start(departure.unknowns.length)).log;
      const plainly = local.evidence(NO_DEPARTURE, AS_STATED).log;
      expect(seated - base).toBeCloseTo(local.evidence(departure, ratios).log - plainly, 3);
    }
  });

  it("of a sorting of the stock is found to second order exactly, and with the cells seated anew", () => {
    const [best] = mixedStock(local, AS_STATED, job.betweenCutSd.thickness);
    expect(best!.gain).toBeCloseTo(gainOf(best!.departure), 6);
    const base = fitExtended(target, NO_DEPARTURE, AS_STATED, new Float64Array(sources.length)).log;
    const seated = fitExtended(target, best!.departure, AS_STATED, new Float64Array(sources.length + 1)).log;
    expect(seated - base).toBeCloseTo(best!.gain, 3);
  });
});

describe("the catalogue of reasons", () => {
  it("shares out the prior of each kind", () => {
    for (const kind of ["gauge bias", "drift", "odd trial", "larger scatter"] as const) {
      const shares = departures.filter(({ reason }) => reason.kind === kind).map(({ share }) => share);
      expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9);
    }
  });

  it("takes the order of cutting from the first to the last trial that a source acts on", () => {
    const drift = departures.find(
      ({ reason }) =>
        reason.kind === "drift" && reason.sources.length === 1 && reason.sources[0]!.of === "point-67",
    );
    const [unknown] = drift!.unknowns;
    const shares = unknown?.kind === "drift" ? unknown.shares : new Float64Array();
    const of = (trial: string): number => shares[local.trials.findIndex((one) => one.trial === trial)]!;
    expect(of("h1")).toBe(-0.5);
    expect(of("h5")).toBeCloseTo(0.5, 12);
    expect(of("h3")).toBeGreaterThan(of("h2"));
    expect(of("d3")).toBe(0);
  });
});
