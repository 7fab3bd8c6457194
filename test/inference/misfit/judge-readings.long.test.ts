import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { judgeFit, residualsOf } from "../../../src/inference/estimates/judge-fit.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { MISFIT_KINDS } from "../../../src/inference/misfit/departure.js";
import {
  type FitVerdict,
  judgeReadings,
  widenedWhereUnexplained,
} from "../../../src/inference/misfit/judge-readings.js";
import type { Reading } from "../../../src/model/readings.js";
import { type DepartureName, simulateDeparture } from "../../checks/study/departing-shop.js";
import { loadWorld } from "../../checks/study/try-world.js";

const { job, plan, cells } = loadWorld("departing");
const sources = jobSources(job);
/** An exchange is noticed in about half of the shops: where the two readings differ clearly, as in the fourth. Of the first they are as likely either way. */
function shown(departure: DepartureName): readonly Reading[] {
  const substream = departure === "swapped joint" ? 4 : 1;
  const normals = createStream(4, substream);
  const truth = Float64Array.from(sources, ({ priorSd }) => priorSd * normals.normal());
  return simulateDeparture(job, plan, departure, { truth, seed: 50, substream, cells }).readings;
}
const fitOf = (readings: readonly Reading[]) =>
  fitSources(job, readings, { alsoWithoutPriors: false, cells });
function judged(readings: readonly Reading[]): FitVerdict {
  const fit = fitOf(readings);
  return judgeReadings(fit, residualsOf(fit, 1), 1);
}

describe("a shop that departs from the model", () => {
  for (const kind of MISFIT_KINDS)
    it(`by ${kind} is noticed and named`, () => {
      const { verdict, misfit } = judged(shown(kind));
      expect(verdict).not.toBe("fits");
      expect(misfit?.named?.reason.kind).toBe(kind);
      expect(misfit?.explained).toBe(true);
    });

  it("in no way fits", () => {
    expect(judged(shown("none"))).toMatchObject({ verdict: "fits", misfit: null });
  });

  it("in a way that is none of them is noticed, and its intervals widen", () => {
    // Every second angle is 0.4° more, every second length 0.08 mm less: nothing in the catalogue.
    const spoilt = shown("none").map((reading, i) =>
      reading.value === null || i % 2 === 0
        ? reading
        : { ...reading, value: reading.value + (reading.what === "angle" ? 0.007 : -0.08) },
    );
    const fit = fitOf(spoilt);
    const { verdict, misfit } = judgeReadings(fit, residualsOf(fit, 1), 1);
    expect(verdict).toBe("does not fit");
    const wide = widenedWhereUnexplained(fit, judgeFit(fit, 1), 1);
    const ratio = wide.sources[0]!.standardUncertainty / fit.sources[0]!.standardUncertainty;
    expect(ratio).toBeCloseTo(misfit!.widening, 9);
    expect(ratio > 1).toBe(misfit!.explained === false);
    const [low, high] = wide.sources[0]!.interval;
    const [from, to] = fit.sources[0]!.interval;
    expect(high - low).toBeCloseTo(ratio * (to - from), 9);
  });
});
