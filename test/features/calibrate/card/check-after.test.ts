import { join } from "node:path";
import { expect } from "vitest";
import { at } from "../../../../src/core/numeric/dense.js";
import { createStream } from "../../../../src/core/numeric/random-stream.js";
import { checkAfter } from "../../../../src/features/calibrate/card/set-up-card.js";
import { calibrateJob } from "../../../../src/inference/calibrate-job.js";
import { withScatters } from "../../../../src/inference/job-posterior.js";
import { readSpecimen } from "../../../../src/inference/likelihood/read-specimen.js";
import { addOwnErrors, cellSpecimen, errorsFrom } from "../../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../../src/io/job/load-job.js";
import { loadTrials } from "../../../../src/io/trials/load-trials.js";
import type { Reading } from "../../../../src/model/readings.js";
import { DEMO } from "../../../inference/demo.js";
import { longIt } from "../../../tools/longer.js";

const PIECES = 4000;

longIt(
  "says how far the length of a new piece scatters, its thickness at the fence and the scatters found included",
  () => {
    const stated = loadJob(join(DEMO, "job.yaml"));
    // Stock that varies so much that a fence which bears on one side shows in the length.
    const job = {
      ...stated,
      jigs: stated.jigs.map((jig) => ({ ...jig, fence: "long-side" as const })),
      betweenCutSd: { ...stated.betweenCutSd, thickness: 0.1 },
    };
    const lengths = loadTrials(DEMO, stated).filter(({ what }) => what === "length" || what === "angle");
    const calibration = calibrateJob(job, lengths, { draws: 200, alsoWithoutPriors: false });
    const { fit, posterior, decision } = calibration;
    const advice = decision.advice.find(
      ({ adjuster }) => at(fit.sources, adjuster.source).id.of === "hinge-mitre",
    );
    const told = /measure (\S+) mm ± (\S+) mm/.exec(checkAfter(calibration, advice!));

    const specimen = cellSpecimen(withScatters(job, posterior), fit.target.cells);
    const reading = { what: "length", subject: "hinge-1", bench: "none", setUp: null } as Reading;
    const stream = createStream(5);
    const p = fit.sources.length;
    const read = Array.from({ length: PIECES }, (_, k) => {
      const from = (k % posterior.draws) * p;
      const sources = fit.estimates.map(
        (_, i) =>
          at(posterior.sample, from + i) +
          at(decision.moves.change, i) +
          at(decision.moves.resetSd, i) * stream.normal(),
      );
      const errors = errorsFrom(specimen, sources);
      addOwnErrors(specimen, stream.fill(new Float64Array(errors.length)), errors);
      return readSpecimen(specimen.reader, errors, [reading], job)[0]!.value;
    });
    const mean = read.reduce((sum, value) => sum + value, 0) / PIECES;
    const sd = Math.sqrt(read.reduce((sum, value) => sum + (value - mean) ** 2, 0) / PIECES);
    expect(Number(told?.[1])).toBeCloseTo(mean, 1);
    // Two digits are printed, and the standard deviation of 4,000 pieces is good to 1 %.
    expect(Number(told?.[2]) / (2 * sd)).toBeGreaterThan(0.94);
    expect(Number(told?.[2]) / (2 * sd)).toBeLessThan(1.06);
  },
);
