import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { STORY_PRIOR, storiesIn, wellKnown } from "../../../src/features/explain/stories.js";
import type { JobPosterior } from "../../../src/inference/job-posterior.js";
import type { Source } from "../../../src/model/sources.js";

const sources: Source[] = [
  { id: { kind: "stop", of: "a" }, angular: false, priorSd: 0.1 },
  { id: { kind: "stop", of: "b" }, angular: false, priorSd: 0.2 },
];

/** The posterior when z_a + z_b was read as `sum` ± `tau`, all in prior standard deviations, as draws. */
function posteriorOf(sum: number, tau: number, seed: number, draws = 20_000): JobPosterior {
  const stream = createStream(seed);
  const sample = new Float64Array(2 * draws);
  for (let d = 0; d < draws; d++) {
    const [a, b, noise] = [stream.normal(), stream.normal(), tau * stream.normal()];
    const pull = (sum - (a + b + noise)) / (2 + tau ** 2);
    sample.set([0.1 * (a + pull), 0.2 * (b + pull)], 2 * d);
  }
  return { sources, sample, draws, fit: null } as unknown as JobPosterior;
}

/** Chances of (none, a, b, both) in closed form: the sum is normal under each. */
function exact(sum: number, tau: number): number[] {
  const density = (variance: number) => Math.exp(-(sum ** 2) / variance / 2) / Math.sqrt(variance);
  const [on, off] = [1, STORY_PRIOR.nearlyRight ** 2];
  const p = STORY_PRIOR.off;
  const weights = [
    (1 - p) ** 2 * density(2 * off + tau ** 2),
    p * (1 - p) * density(on + off + tau ** 2),
    p * (1 - p) * density(on + off + tau ** 2),
    p ** 2 * density(2 * on + tau ** 2),
  ];
  const total = weights.reduce((a, b) => a + b, 0);
  return weights.map((weight) => weight / total);
}

const shareOf = (stories: ReturnType<typeof storiesIn>, names: string): number =>
  stories
    .filter(({ causes }) => causes.map(({ id }) => id.of).join() === names)
    .reduce((sum, { chance }) => sum + chance.value, 0);

describe("stories of two tied sources", () => {
  it.each([
    [1.5, 0.2],
    [0.3, 0.2],
    [-2.5, 0.3],
  ])("have the chances of the closed form when the sum is read as %f ± %f", (sum, tau) => {
    const stories = storiesIn(
      [1, 2, 3, 4].map((seed) => posteriorOf(sum, tau, seed)),
      [0, 1],
    );
    for (const [k, names] of ["", "a", "b", "a,b"].entries())
      expect(Math.abs(shareOf(stories, names) - exact(sum, tau)[k]!), names).toBeLessThan(0.02);
    expect(wellKnown(stories)).toBe(true);
  });

  it("give each source its side and size: all of the sum to the one that is off", () => {
    const stories = storiesIn([posteriorOf(-2, 0.2, 1)], [0, 1]);
    const alone = stories.find(({ causes: [one, other] }) => one?.id.of === "a" && other === undefined)!;
    // E[z_a] = −2 · 1/(1 + 0.04 + 0.04).
    expect(alone.causes[0]!.size).toBeCloseTo(-0.1 * (2 / 1.08), 2);
  });

  it("are not known from one run, and agree from seed to seed within their sampling error", () => {
    expect(wellKnown(storiesIn([posteriorOf(1.5, 0.2, 1)], [0, 1]))).toBe(false);
    const runs = [10, 20, 30].map((first) =>
      storiesIn(
        [0, 1, 2, 3].map((k) => posteriorOf(1.5, 0.2, first + k, 500)),
        [0, 1],
      ),
    );
    const [one, ...others] = runs.map(
      (stories) => stories.find(({ causes }) => causes[0]?.id.of === "a")!.chance,
    );
    for (const other of others)
      expect(Math.abs(other!.value - one!.value)).toBeLessThan(
        2 * Math.hypot(other!.samplingError, one!.samplingError),
      );
  });
});
