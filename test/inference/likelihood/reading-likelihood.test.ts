import { describe, expect, it } from "vitest";
import { mixtureLoss, readingLikelihood } from "../../../src/inference/likelihood/reading-likelihood.js";

const [closed, open] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
const READINGS = [
  { value: 0.1, low: null, high: null },
  { value: null, low: 0.05, high: 0.1 },
  { value: null, low: closed, high: 0.05 },
  { value: null, low: 0.2, high: open },
  { value: null, low: closed, high: open },
] as const;

describe("the likelihood of a reading, prepared for many looks", () => {
  it("is the loss that the fit climbs on, with and without mistakes, near and far", () => {
    for (const reading of READINGS) {
      for (const share of [0, 0.1]) {
        for (const tau of [0.003, 0.05]) {
          const { at, largest, likelihood } = readingLikelihood({ ...reading, what: "gap" }, tau, share);
          for (const mu of [-3, -0.2, 0, 0.049, 0.0501, 0.1, 0.25, 2]) {
            const { value } = mixtureLoss({ ...reading, what: "gap" }, mu, tau, share);
            const tolerance = 1e-6 * Math.max(1, Math.abs(value));
            const where = JSON.stringify({ reading, share, tau, mu });
            expect(Math.abs(at(mu) + value), where).toBeLessThan(tolerance);
            expect(at(mu), where).toBeLessThanOrEqual(largest);
            if (share > 0) expect(Math.log(likelihood!(mu)), where).toBe(at(mu));
            else expect(likelihood).toBeNull();
          }
          // It gets there: at the value, in the middle of an interval, or far on its open side.
          const { value, low, high } = reading;
          const ends = low === closed ? -1 : high === open ? 1 : 0;
          const best = value ?? (ends === 0 ? (low! + high!) / 2 : 10 * ends);
          expect(at(best)).toBeCloseTo(largest, 12);
        }
      }
    }
  });
});
