import { describe, expect, it } from "vitest";
import { type Marked, markAnswer } from "../../../src/features/mystery/mark-answer.js";
import type { SourceEstimate } from "../../../src/inference/estimates/fit-sources.js";
import type { SourceId } from "../../../src/model/source-id.js";

const KEY_END: SourceId = { kind: "stop", of: "key-end" };
const HINGE_SEAT: SourceId = { kind: "stop", of: "hinge-seat" };

/** What the readings tell of one source, and nothing else. */
const told = (low: number, high: number): SourceEstimate =>
  ({
    id: KEY_END,
    estimate: (low + high) / 2,
    interval: [low, high],
  }) as unknown as SourceEstimate;
const marked = (interval: [number, number], truth: number, said: number | null): [Marked, number, number] => {
  const fault = (size: number) => (size === 0 ? [] : [{ source: KEY_END, size }]);
  const answer = said === null ? [] : [{ source: KEY_END, size: said }];
  const { sources, points, of } = markAnswer([told(...interval)], fault(truth), answer);
  return [sources[0]!.marked, points, of];
};

describe("marking", () => {
  it("gives two points for a fault with its size, as good as the readings allow", () => {
    expect(marked([-0.26, -0.22], -0.24, -0.23)).toEqual(["found", 2, 2]);
    // The readings lie: whoever believes them is not to blame.
    expect(marked([-0.22, -0.18], -0.24, -0.185)).toEqual(["found", 2, 2]);
  });

  it("gives one for a size that the readings would have told better, none for the wrong way", () => {
    expect(marked([-0.26, -0.22], -0.24, -0.1)).toEqual(["rough", 1, 2]);
    expect(marked([-0.26, -0.22], -0.24, 0.24)).toEqual(["wrong-side", 0, 2]);
    expect(marked([-0.26, -0.22], -0.24, null)).toEqual(["missed", 0, 2]);
    expect(marked([-0.26, -0.22], -0.24, 0)).toEqual(["missed", 0, 2]);
  });

  it("asks nothing of what the readings do not tell from zero", () => {
    expect(marked([-0.3, 0.05], -0.2, null)).toEqual(["beyond-the-data", 0, 0]);
    expect(marked([-0.3, 0.05], -0.2, -0.2)).toEqual(["found", 2, 2]);
  });

  it("excuses what the readings leave room for, and takes a point off for what they rule out", () => {
    expect(marked([-0.02, 0.04], 0, null)).toEqual(["right", 0, 0]);
    expect(marked([-0.02, 0.04], 0, 0.03)).toEqual(["excusable", 0, 0]);
    const [words, points] = marked([-0.02, 0.04], 0, 0.2);
    expect([words, points]).toEqual(["false-alarm", 0]);
  });

  it("takes the point off the sum, which is never below nothing", () => {
    const estimates = [told(0.1, 0.2), { ...told(-0.02, 0.02), id: HINGE_SEAT }];
    const truth = [{ source: KEY_END, size: 0.15 }];
    const answer = [...truth, { source: HINGE_SEAT, size: 0.3 }];
    expect(markAnswer(estimates, truth, answer)).toMatchObject({ points: 1, of: 2 });
    expect(markAnswer(estimates, truth, answer.slice(1))).toMatchObject({ points: 0, of: 2 });
  });
});
