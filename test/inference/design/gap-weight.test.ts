import { join } from "node:path";
import { expect, it } from "vitest";
import { drawCells, noMoves, outcomesOf } from "../../../src/inference/decision/drawn-cells.js";
import { gapWeight } from "../../../src/inference/design/trial-information.js";
import { cellSpecimen, jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";

const job = loadJob(join(import.meta.dirname, "../../../data/alcove-screen"));
const sources = jobSources(job);
const p = sources.length;
const specimen = cellSpecimen(job);
const moves = noMoves(p);
const none = new Float64Array(p);
/** Each source known to a share of what it is trusted to. */
const known = (share: number): Float64Array =>
  Float64Array.from({ length: p * p }, (_, k) =>
    k % (p + 1) === 0 ? (share * sources[k % p]!.priorSd) ** 2 : 0,
  );

it("the weight gives the variance of the widest gap that not knowing the sources brings", () => {
  const share = 0.2;
  const draws = 1000;
  const covariance = known(share);
  const weight = gapWeight(
    job,
    specimen,
    sources,
    { estimates: none, covariance },
    { moves, seed: 3, draws },
  );
  const promised = sources.reduce((sum, _, i) => sum + weight[i * p + i]! * share ** 2, 0);
  // The same cells with the sources drawn and without: what differs comes from the sources.
  const at = (c: Float64Array) =>
    outcomesOf(drawCells(job, specimen, { estimates: none, covariance: c, draws, seed: 5 }), moves).widestGap;
  const [drawn, still] = [at(covariance), at(new Float64Array(p * p))];
  const found = drawn.reduce((sum, gap, d) => sum + (gap - still[d]!) ** 2, 0) / draws;
  expect(found / promised).toBeGreaterThan(0.8);
  expect(found / promised).toBeLessThan(1.25);
});

it("what the cell does not hang on has no weight", () => {
  const biased = {
    ...job,
    instruments: job.instruments.map((one) => (one.name === "feeler" ? { ...one, biasPriorSd: 0.01 } : one)),
  };
  const list = jobSources(biased);
  const n = list.length;
  expect(n).toBe(p + 1);
  const covariance = Float64Array.from({ length: n * n }, (_, k) =>
    k % (n + 1) === 0 ? list[k % n]!.priorSd ** 2 : 0,
  );
  const weight = gapWeight(
    biased,
    cellSpecimen(biased),
    list,
    { estimates: new Float64Array(n), covariance },
    { moves: noMoves(n), seed: 1, draws: 20 },
  );
  const bias = list.findIndex(({ id }) => id.kind === "bias");
  for (let i = 0; i < n; i++) expect(weight[bias * n + i]).toBe(0);
});
