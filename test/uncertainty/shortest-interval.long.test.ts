import { expect, it } from "vitest";
import { createStream } from "../../src/core/numeric/random-stream.js";
import { normal } from "../../src/uncertainty/distributions.js";
import { adaptiveMonteCarlo } from "../../src/uncertainty/monte-carlo.js";
import { blockErrors, summarise } from "../../src/uncertainty/monte-carlo-blocks.js";
import { typeA } from "../../src/uncertainty/type-a.js";

const SIZE = 10_000;
const BLOCKS = 32;
const RUNS = 48;

it("the ends of a shortest interval scatter by what their standard errors say; the square root of the blocks would say too little", () => {
  const runs = Array.from({ length: RUNS }, (_, run) => {
    const stream = createStream(500 + run);
    const blocks = Array.from({ length: BLOCKS }, () => stream.fill(new Float64Array(SIZE)));
    const summaries = blocks.map((block) => summarise(block.slice(), 0.95));
    const all = new Float64Array(SIZE * BLOCKS);
    for (const [k, block] of blocks.entries()) all.set(block, k * SIZE);
    return { end: summarise(all, 0.95).shortest[1], stated: blockErrors(summaries).shortest[1] };
  });
  const actual = typeA(runs.map(({ end }) => end)).standardDeviation;
  const stated = typeA(runs.map(({ stated }) => stated)).mean;
  // 48 runs know their scatter to 10 %.
  expect(actual / stated).toBeGreaterThan(0.6);
  expect(actual / stated).toBeLessThan(1.15);
  // The negative control.
  expect(actual / (stated * BLOCKS ** (-1 / 6))).toBeGreaterThan(1.15);
});

it("an adaptive run that ends stable has its shortest interval within the tolerance, in all but one of twenty", () => {
  const inputs = [{ name: "x", distribution: normal(0, 1) }];
  const outside = Array.from({ length: 20 }, (_, k) => {
    const run = adaptiveMonteCarlo((x) => x[0]!, inputs, { seed: k + 1, interval: "shortest" });
    expect(run.status).toBe("stable");
    return run.shortest.some((end) => Math.abs(Math.abs(end) - 1.959964) > run.tolerance);
  });
  expect(outside.filter(Boolean).length).toBeLessThanOrEqual(2);
});
