import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { normalCdf } from "../../../src/core/numeric/normal.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { sampleName, stationsOf } from "../../../src/inference/design/station.js";
import { drawScenarios, trialInformation } from "../../../src/inference/design/trial-information.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { expectBlock, trialBlocks } from "../../../src/inference/likelihood/trial-blocks.js";
import {
  expectedInformation,
  profileOf,
  targetDensity,
} from "../../../src/inference/posterior/posterior-mode.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import { trialsCsv } from "../../../src/io/trials/trials-csv.js";
import { TRIAL_COSTS } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";
import { sourceText } from "../../../src/render/source-text.js";
import { inFolder } from "../../io/in-folder.js";
import { DEMO } from "../demo.js";

const job = loadJob(join(import.meta.dirname, "../../../data/alcove-screen"));
const sources = jobSources(job);
const p = sources.length;
const stations = stationsOf(job, TRIAL_COSTS);
const station = (sample: string, bench: string, instrument: string) =>
  stations.find(
    (one) => sampleName(one.sample) === sample && one.bench === bench && one.instrument.name === instrument,
  )!;
const every = (readings: readonly Reading[]): number[] => [...readings.keys()];
const truth = Float64Array.from(sources, ({ priorSd }, i) => priorSd * (i % 2 === 0 ? 0.9 : -0.6));

describe("what readings of values tell", () => {
  it("of one angle is one over the variance of gauge and cut together, by hand", () => {
    const { readings } = station("diagonal-start", "none", "angle-gauge");
    const degree = Math.PI / 180;
    const variance = (0.06 ** 2 + 0.1 ** 2 / 12 + 0.06 ** 2) * degree ** 2;
    const [told] = trialInformation(job, readings, [truth], 1).of([0]);
    const ramp = sources.findIndex(({ id }) => sourceText(id) === "ramp of point-45");
    expect(told![ramp * p + ramp]! * variance).toBeCloseTo(sources[ramp]!.priorSd ** 2, 12);
    expect(told!.filter((x) => x !== 0)).toHaveLength(1);
  });

  it("is less by the share of readings that may be mistakes", () => {
    const { readings } = station("diagonal-start", "none", "angle-gauge");
    const none = { ...job, betweenCutSd: { ...job.betweenCutSd, angle: 0 } };
    const [trusted] = trialInformation(none, readings, [truth], 1).of([0]);
    const [doubted] = trialInformation({ ...none, mistakes: 0.1 }, readings, [truth], 1).of([0]);
    expect(Math.max(...doubted!) / Math.max(...trusted!)).toBeCloseTo(0.9, 12);
  });

  it("is the information that the fit finds in such readings", () => {
    const hand = [
      ...station("cell", "none", "caliper").readings,
      ...station("cell", "none", "angle-gauge").readings,
    ];
    const [told] = trialInformation(job, hand, [truth], 1).of(every(hand));
    const target = targetDensity(job, sources, simulateTrials(job, hand, { truth, seed: 4 }));
    const x = truth.map((value, i) => value / sources[i]!.priorSd);
    const { terms } = profileOf({ ...target, priorWeight: 0 })(x);
    const found = expectedInformation(terms, p);
    const largest = Math.max(...found);
    for (let k = 0; k < p * p; k++) expect(Math.abs(told![k]! - found[k]!)).toBeLessThan(1e-6 * largest);
  });

  it("falls short of adding up where readings share a piece, and adds up where they do not", () => {
    const { readings } = station("diagonal", "none", "caliper");
    const shared = trialInformation(job, [...readings, ...readings], [truth], 1);
    const [once] = shared.of([0]);
    const [twice] = shared.of([0, readings.length]);
    const largest = Math.max(...once!);
    const at = once!.indexOf(largest);
    expect(twice![at]! / largest).toBeGreaterThan(1);
    expect(twice![at]! / largest).toBeLessThan(1.9);
  });
});

describe("what intervals of gaps tell", () => {
  const { readings } = station("diagonal-start", "corner-90", "shim-strips");
  const scenarios = drawScenarios(
    {
      estimates: truth,
      covariance: Float64Array.from({ length: p * p }, (_, k) =>
        k % (p + 1) === 0 ? (0.02 * sources[k % p]!.priorSd) ** 2 : 0,
      ),
    },
    200,
    3,
  );
  const ramp = sources.findIndex(({ id }) => sourceText(id) === "ramp of point-45");
  const meanOf = (matrices: readonly Float64Array[]): number =>
    matrices.reduce((sum, matrix) => sum + matrix[ramp * p + ramp]!, 0) / matrices.length;

  /** Σ (∂P/∂x)²/P over everything that the readings might show, pieces drawn anew: from the definition, by differences over common pieces. */
  function byDefinition(taken: readonly Reading[]): number {
    const [block] = trialBlocks(job, taken);
    const { leaves } = job.instruments.find(({ name }) => name === "shim-strips")!;
    const edges = [Number.NEGATIVE_INFINITY, ...leaves, Number.POSITIVE_INFINITY];
    const intervals = edges.length - 1;
    const draws = 2500;
    const step = 0.05;
    const chances = (move: number): Float64Array => {
      const stream = createStream(17);
      const out = new Float64Array(intervals ** taken.length);
      const moved = truth.with(ramp, truth[ramp]! + move * sources[ramp]!.priorSd);
      for (let d = 0; d < draws; d++) {
        const { mu } = expectBlock(job, block!, moved, stream.fill(new Float64Array(block!.latents)));
        const each = [...mu].map((m, i) => {
          const below = edges.map((edge) => normalCdf((edge - m) / block!.noise[i]!));
          return below.slice(1).map((upTo, k) => upTo - below[k]!);
        });
        for (let cell = 0; cell < out.length; cell++) {
          let chance = 1 / draws;
          let rest = cell;
          for (const own of each) {
            chance *= own[rest % intervals]!;
            rest = Math.floor(rest / intervals);
          }
          out[cell]! += chance;
        }
      }
      return out;
    };
    const [down, at, up] = [chances(-step), chances(0), chances(step)];
    return at.reduce((sum, chance, k) => {
      const slope = (up[k]! - down[k]!) / (2 * step);
      // Cells that come up in less than one draw in a thousand have no slope to speak of.
      return chance < 1e-3 ? sum : sum + slope ** 2 / chance;
    }, 0);
  }

  it("is, by itself and for both heels of one point, what the definition of information gives", () => {
    const heels = readings.filter(({ at }) => at === "heel");
    const still = Array.from({ length: 200 }, () => truth);
    const told = trialInformation(job, heels, still, 1);
    // Where a gap closes, information averaged over drawn pieces and that of the average piece differ a little.
    for (const places of [[0], [0, 1]]) {
      const ratio = meanOf(told.of(places)) / byDefinition(places.map((place) => heels[place]!));
      expect(ratio).toBeGreaterThan(0.95);
      expect(ratio).toBeLessThan(1.05);
    }
  });

  it("is less than values would tell with the same scatter", () => {
    const sharp = readings.map((reading) => ({ ...reading, value: 0, low: null, high: null }));
    const told = trialInformation(job, readings, scenarios, 1).of(every(readings));
    const most = trialInformation(job, sharp, scenarios, 1).of(every(readings));
    expect(meanOf(told)).toBeLessThan(meanOf(most));
    expect(meanOf(told)).toBeGreaterThan(0.2 * meanOf(most));
  });

  it("grows with every leaf added", () => {
    const coarse = {
      ...job,
      instruments: job.instruments.map((one) =>
        one.name === "shim-strips" ? { ...one, leaves: [0.02, 0.06, 0.2] } : one,
      ),
    };
    const told = meanOf(trialInformation(job, readings, scenarios, 1).of(every(readings)));
    expect(meanOf(trialInformation(coarse, readings, scenarios, 1).of(every(readings)))).toBeLessThan(told);
  });
});

describe("stations", () => {
  it("leave out joints that only hold a piece, and places an instrument cannot tell", () => {
    const straight = station("hinge-mitre", "straightedge", "feeler");
    expect(straight.readings.map(({ subject, at }) => `${subject} ${at}`)).toEqual([
      "bevel.end-left|straightedge widest",
    ]);
    const strips = station("hinge-mitre", "straightedge", "shim-strips");
    expect(strips.readings.map(({ at }) => at)).toEqual(["toe", "heel"]);
  });

  it("are on benches that suit the jig alone", () => {
    expect(station("hinge-point", "corner-90", "feeler")).toBeUndefined();
    expect(station("hinge-point", "corner-45", "feeler")).toBeDefined();
    expect(station("hinge-point", "ring", "feeler").pieces).toBe(8);
  });

  it("make trials that the table of trials takes", () => {
    const folder = inFolder({ "job.yaml": readFileSync(join(DEMO, "job.yaml"), "utf8") });
    for (const { readings } of stations) {
      const read = simulateTrials(job, readings, { truth, seed: 1 });
      // The plan gives a chosen trial its name and its rows their ids.
      const named = read.map((reading, i) => ({ ...reading, id: `r${i + 1}`, trial: "t1" }));
      writeFileSync(join(folder, "trials.csv"), trialsCsv(job, named));
      const back = loadTrials(folder, job);
      expect(back.map(({ subject, what, at }) => [subject, what, at])).toEqual(
        read.map(({ subject, what, at }) => [subject, what, at]),
      );
    }
  });
});
