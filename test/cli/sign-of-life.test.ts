import { describe, expect, it } from "vitest";
import { LOOK_EVERY, SignOfLife } from "../../src/cli/sign-of-life.js";

/** Times at which lines were printed, ms, of a command that says `steps` at their times and is looked at like the thread does. */
function linesOf(lasts: number, steps: ReadonlyMap<number, string | null> = new Map()) {
  let clock = 0;
  const life = new SignOfLife(() => clock, 0);
  const printed: { at: number; text: string }[] = [];
  for (; clock <= lasts; clock += LOOK_EVERY) {
    const step = steps.get(clock);
    if (step !== undefined) {
      life.spoke(step);
      printed.push({ at: clock, text: `… ${step}` });
    }
    const text = life.due();
    if (text !== null) printed.push({ at: clock, text });
  }
  return printed;
}

const longestSilence = (printed: readonly { at: number }[], lasts: number): number =>
  Math.max(...[...printed.map(({ at }) => at), lasts].map((at, i, all) => at - (all[i - 1] ?? 0)));

describe("a command that is busy", () => {
  it("shows itself within half a second, and then at least every 2 s", () => {
    const printed = linesOf(60_000);
    expect(printed[0]?.at).toBeLessThanOrEqual(500);
    expect(longestSilence(printed, 60_000)).toBeLessThanOrEqual(2000);
    expect(printed.length).toBeGreaterThanOrEqual(30);
  });

  it("is counted by this test: one that speaks half as often would be silent for too long", () => {
    const half = linesOf(60_000).filter((_, i) => i % 2 === 0);
    expect(longestSilence(half, 60_000)).toBeGreaterThan(2000);
  });

  it("says the step it is at and for how long the command has run", () => {
    const printed = linesOf(6000, new Map([[1000, "fitting the jigs"]]));
    expect(printed[0]).toEqual({ at: 400, text: "… at work" });
    expect(printed.at(-1)?.text).toMatch(/^… fitting the jigs, [56] s so far$/);
  });

  it("says how far the step has come, without being silent or speaking more often for it", () => {
    let clock = 0;
    const life = new SignOfLife(() => clock, 0);
    life.spoke("fitting the jigs");
    const printed: string[] = [];
    for (; clock <= 4000; clock += LOOK_EVERY) {
      life.further(`fitting the jigs: ${clock / LOOK_EVERY} % of the draws`);
      const text = life.due();
      if (text !== null) printed.push(text);
    }
    expect(printed).toEqual([
      "… fitting the jigs: 18 % of the draws, 2 s so far",
      "… fitting the jigs: 36 % of the draws, 4 s so far",
    ]);
  });

  it("adds nothing to one that speaks often by itself", () => {
    const often = new Map(
      Array.from({ length: 60 }, (_, i): [number, string] => [100 + 1000 * i, `step ${i}`]),
    );
    expect(linesOf(59_000, often)).toHaveLength(59);
  });

  it("adds nothing to a short one", () => {
    expect(linesOf(300)).toEqual([]);
  });
});
