import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { watchBatch } from "../../../src/features/batch/watch-batch.js";

/** Pieces of 44 mm that scatter by 0.02 mm about a mean that moves as told, mm. */
function batch(seed: number, pieces: number, moved: (i: number) => number): number[] {
  const stream = createStream(seed);
  return Array.from({ length: pieces }, (_, i) => 44 + moved(i) + 0.02 * stream.normal());
}

describe("a batch", () => {
  it("that stays as it was is steady nearly always, as often as its false alarm says", () => {
    const batches = Array.from({ length: 300 }, (_, seed) =>
      watchBatch(
        batch(seed, 30, () => 0),
        { standardDeviation: 0.02 },
      ),
    );
    const signalled = batches.filter(({ ewma, targetFrom }) =>
      ewma.beyond.some((i) => i >= targetFrom),
    ).length;
    const { falseAlarm } = batches[0]!;
    const deviation = Math.sqrt(300 * falseAlarm * (1 - falseAlarm));
    // The average is also watched over the first eight pieces, which its target is made of: that takes away some early alarms.
    expect(Math.abs(signalled - 300 * falseAlarm)).toBeLessThan(4 * deviation);
    expect(signalled).toBeLessThan(75);
  });

  it("whose stop creeps is found, and its creep lies in the interval", () => {
    const found = Array.from({ length: 60 }, (_, seed) =>
      watchBatch(batch(100 + seed, 40, (i) => 0.002 * i)),
    );
    expect(found.filter(({ verdict }) => verdict === "creeping").length).toBeGreaterThan(55);
    const covered = found.filter(({ creep }) => creep!.interval[0] <= 0.002 && creep!.interval[1] >= 0.002);
    // 57 of 60 expected; fewer than 51 would be a chance of 1 in 1,000.
    expect(covered.length).toBeGreaterThan(50);
  });

  it("with one piece slipped has jumped, not crept", () => {
    const values = batch(3, 20, () => 0);
    values[15] = 44.11;
    const { verdict, firstSignal, individuals } = watchBatch(values, { target: 44, standardDeviation: 0.02 });
    expect(verdict).toBe("jumped");
    expect(firstSignal).toBe(15);
    expect(individuals.beyond).toEqual([15]);
  });

  it("off its target from the start signals soon", () => {
    const values = batch(9, 12, () => 0.04);
    expect(watchBatch(values).verdict).toBe("steady");
    const { verdict, firstSignal } = watchBatch(values, { target: 44 });
    expect(verdict).toBe("creeping");
    expect(firstSignal!).toBeLessThan(8);
  });

  it("says how soon its charts signal", () => {
    const { runLengths } = watchBatch(batch(1, 10, () => 0));
    expect(runLengths.ewma.inControl).toBeCloseTo(370, 2);
    expect(runLengths.ewma.jump).toBeLessThan(runLengths.individuals.jump / 3);
    expect(runLengths.ewma.creep).toBeLessThan(runLengths.individuals.creep);
  });

  it("that does not differ cannot be watched without a spread", () => {
    expect(() => watchBatch([44, 44, 44])).toThrow(/must differ/);
    expect(watchBatch([44, 44, 44], { standardDeviation: 0.01 }).verdict).toBe("steady");
    expect(() => watchBatch([44])).toThrow(/two pieces/);
  });

  it("rising by the same amount every time has exactly that creep", () => {
    const { creep } = watchBatch([1, 1.5, 2, 2.5].map((x) => x * 10));
    expect(creep!.slope).toBeCloseTo(5, 12);
    expect(creep!.interval[1] - creep!.interval[0]).toBeLessThan(1e-9);
  });
});
