import { describe, expect, it } from "vitest";
import { entryOf } from "../../../src/core/numeric/dense.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { PanelDrawer, panelSources } from "../../../src/features/panel/draw-panel.js";
import { predictPanel } from "../../../src/features/panel/predict-panel.js";
import { type JobPosterior, jobPosterior } from "../../../src/inference/job-posterior.js";
import { demoJob } from "../../inference/demo.js";

const stated = jobPosterior(demoJob, []);
const p = stated.sources.length;
const stops = [...stated.sources.keys()].filter((i) => stated.sources[i]!.id.kind === "stop");
const [a, b] = [stops[1]!, stops[2]!];

describe("a panel from a posterior", () => {
  it("has the errors that the posterior expects, and one shop for all its cells", async () => {
    const sources = panelSources(demoJob, {
      ...stated,
      normal: false,
      estimates: stated.estimates.map((_, i) => 0.01 * i),
      sample: stated.sample.map((value, k) => value + 0.01 * (k % p)),
      scatters: stated.scatters.map((value, k) => (Math.floor(k / 3) === 1 ? 2 * value : value)),
    });
    expect(sources.draws.shops!.count).toBe(stated.draws);
    const drawer = new PanelDrawer(sources, "as-cut");
    const width = sources.inputs.draws;
    for (const panel of [0, 1, stated.draws + 1]) {
      drawer.draw(createStream(3), panel);
      const row = panel % stated.draws;
      for (const k of sources.shared) {
        const own = stated.sample[row * p + k]! / stated.sources[k]!.priorSd;
        for (let cell = 0; cell < drawer.cells; cell++)
          expect(drawer.drawn[cell * width + k]).toBeCloseTo(own, 9);
      }
    }
  });

  it("counts the shops in its bounds: far fewer than panels", async () => {
    const options = { panels: 4096, threads: 1, ways: false, budget: false } as const;
    const posterior: JobPosterior = { ...stated, normal: false, draws: 128, effectiveSampleSize: 128 };
    const some = await predictPanel(demoJob, { ...options, posterior });
    const all = await predictPanel(demoJob, options);
    const half = ({ low, high }: typeof some.closes): number => high - low;
    expect(half(some.refits.mean)).toBeGreaterThan(2 * half(all.refits.mean));
    // What they say differs by no more than that.
    expect(Math.abs(some.refits.mean.value - all.refits.mean.value)).toBeLessThan(
      1.5 * half(some.refits.mean),
    );
  });

  it("with a source steady takes along what is tied to it", () => {
    const covariance = stated.covariance.slice();
    const both = -0.9 * Math.sqrt(entryOf(covariance, a, a, p) * entryOf(covariance, b, b, p));
    covariance[a * p + b] = both;
    covariance[b * p + a] = both;
    const sources = panelSources(demoJob, { ...stated, covariance });
    const steady = new PanelDrawer(sources, "as-cut", { draws: new Set([a]), grid: new Set() });
    const squares = { free: 0, steady: 0 };
    const free = new PanelDrawer(sources, "as-cut");
    for (let panel = 0; panel < 2000; panel++) {
      free.draw(createStream(panel), panel);
      steady.draw(createStream(panel), panel);
      expect(steady.drawn[a]).toBe(0);
      squares.free += free.drawn[b]! ** 2 / 2000;
      squares.steady += steady.drawn[b]! ** 2 / 2000;
    }
    expect(squares.free).toBeCloseTo(1, 0.7);
    // Var(b | a) = 1 − 0.9².
    expect(squares.steady).toBeCloseTo(0.19, 1);
  });
});
