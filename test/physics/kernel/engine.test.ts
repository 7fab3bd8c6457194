import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { createEngine, type EngineKind } from "../../../src/physics/kernel/engine.js";
import { randomCalculation } from "./support/random-tape.js";

const PLACES = 20;
const WORDS = 40;
const RECORDS = 6;

function fill(memory: Float64Array, records: number, seed: number): Float64Array[] {
  const stream = createStream(seed);
  return Array.from({ length: RECORDS }, (_, k) => {
    const record = memory.subarray(records + k * WORDS, records + (k + 1) * WORDS);
    stream.fill(record);
    return record;
  });
}

describe.each<EngineKind>(["wasm", "javascript"])("the %s engine", (kind) => {
  it("does random arithmetic as plain numbers do, for both trials of a pair", () => {
    let numbers = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const { routine, expected } = randomCalculation(createStream(seed), PLACES, 20 * seed);
      const engine = createEngine({ random: routine }, RECORDS * WORDS, kind);
      expect(engine.kind).toBe(kind);
      const records = fill(engine.memory, engine.records, 1000 + seed);
      // The last record is a trial alone.
      for (const pair of [
        [0, 3],
        [4, 1],
        [2, 2],
      ] as const) {
        const before = pair.map((k) => expected(records[k]!.slice()));
        const at = (k: number) => engine.records + k * WORDS;
        const answers = engine.run.random(at(pair[0]), at(pair[1]));
        for (const [lane, k] of pair.entries()) {
          const { stored, answers: told } = before[lane]!;
          for (const [place, value] of stored.entries()) {
            // A term may have been left out that is 0 or not a number but for it: −0 is 0 here.
            if (Number.isFinite(value)) expect(records[k]![place]! + 0).toBe(value + 0);
            numbers++;
          }
          for (const [t, holds] of told.entries()) {
            if (stored.every(Number.isFinite)) expect(((answers >> (2 * t + lane)) & 1) === 1).toBe(holds);
          }
        }
      }
    }
    expect(numbers).toBe(60 * 6 * 12);
  });
});

describe("the two engines", () => {
  it("give the same bits", () => {
    for (let seed = 1; seed <= 40; seed++) {
      const { routine } = randomCalculation(createStream(seed), PLACES, 800);
      const [wasm, plain] = (["wasm", "javascript"] as const).map((kind) => {
        const engine = createEngine({ random: routine }, RECORDS * WORDS, kind);
        fill(engine.memory, engine.records, seed);
        const answers = [0, 2, 4].map((k) =>
          engine.run.random(engine.records + k * WORDS, engine.records + (k + 1) * WORDS),
        );
        const records = engine.memory.slice(engine.records, engine.records + RECORDS * WORDS);
        return { answers, bits: new BigUint64Array(records.buffer) };
      });
      expect(wasm!.answers).toEqual(plain!.answers);
      expect(wasm!.bits).toEqual(plain!.bits);
    }
  });
});
