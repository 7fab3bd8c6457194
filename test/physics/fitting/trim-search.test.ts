import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { PRESS_TOLERANCE, TrimSearch } from "../../../src/physics/fitting/trim-search.js";

const NOMINAL = { press: 0.3, opening: 0.3 };

/** Runs a search on a press and an opening by the offset. */
function found(press: (x: number) => number, opening: (x: number) => number = () => 0, start = 0) {
  const search = new TrimSearch();
  search.begin(0.02, start, NOMINAL, 5);
  while (search.state === "searching") search.tell(press(search.offset), opening(search.offset));
  return search;
}

describe("the search for a length", () => {
  it("finds the limit on random rising broken lines, which are flat where the piece is loose", () => {
    const stream = createStream(1);
    let rounds = 0;
    for (let k = 0; k < 500; k++) {
      const [place, soft, stiff, bend] = [
        stream.normal(),
        0.05 + stream.uniform(),
        0.05 + 2 * stream.uniform(),
        0.1 * stream.uniform(),
      ];
      // Convex: slope `soft` from `place` on, and `stiff` more from `place + bend`.
      const press = (x: number) =>
        1e-5 + soft * Math.max(0, x - place) + stiff * Math.max(0, x - place - bend);
      const search = found(press, (x) => Math.max(0, place - x));
      expect(search.state).toBe("fitted");
      expect(Math.abs(press(search.offset) - 0.02)).toBeLessThanOrEqual(PRESS_TOLERANCE);
      rounds += search.rounds;
    }
    // Bisection alone would take 35 from a bracket of 1 mm.
    expect(rounds / 500).toBeLessThan(12);
  });

  it("starts anywhere within reach and ends at the same place", () => {
    const press = (x: number) => Math.max(0, 0.4 * (x - 0.3)) ** 1.5 + 0.1 * Math.max(0, x - 0.3);
    const ends = [-3, -0.5, 0.2, 1, 4].map(
      (start) => found(press, (x) => Math.max(0, 0.3 - x), start).offset,
    );
    for (const end of ends) expect(end).toBeCloseTo(ends[0]!, 8);
  });

  it("stands just short of a jump", () => {
    const search = found((x) => (x < 0.123 ? 0.001 : 0.1));
    expect(search.state).toBe("jumped");
    expect(search.offset).toBeLessThan(0.123);
    expect(search.offset).toBeCloseTo(0.123, 9);
  });

  it("says when nothing is tight, or nothing loose, as far as it may go", () => {
    const [never, always] = [found(() => 0), found(() => 1)];
    expect([never.state, always.state]).toEqual(["never tight", "never loose"]);
    expect([never.offset, always.offset]).toEqual([5, -5]);
  });

  it("begins anew each time it is begun", () => {
    const search = new TrimSearch();
    const run = (place: number): number => {
      search.begin(0.02, 0, NOMINAL, 5);
      while (search.state === "searching") search.tell(0.3 * Math.max(0, search.offset - place), 0);
      return search.offset;
    };
    const first = run(0.7);
    run(-2);
    expect(run(0.7)).toBe(first);
  });
});
