import type { RandomStream } from "../../../../src/core/numeric/random-stream.js";
import { type Routine, Tape, type Test, type Value } from "../../../../src/physics/kernel/tape.js";

/** A recorded calculation, and the same done at once in plain numbers. */
export interface RandomCalculation {
  readonly routine: Routine;
  /** What it should store, and answer, for a record. */
  expected(record: Float64Array): { stored: number[]; answers: boolean[] };
}

type Plain<T> = (record: Float64Array) => T;

/**
 * Random arithmetic on `places` numbers of a record, in every operation there is; results are stored behind them.
 * Divisors are kept away from 0 by an added square.
 */
export function randomCalculation(stream: RandomStream, places: number, length: number): RandomCalculation {
  const tape = new Tape();
  const values: { value: Value; plain: Plain<number> }[] = [];
  const tests: { test: Test; plain: Plain<boolean> }[] = [];
  const any = <T>(list: readonly T[]): T => list[stream.integer(list.length)]!;
  for (let k = 0; k < places; k++) values.push({ value: tape.load(k), plain: (record) => record[k]! });
  for (const number of [0, 1, -1, 2.5, -0.125, 1e-3]) {
    values.push({ value: tape.constant(number), plain: () => number });
  }
  tests.push({ test: tape.less(values[0]!.value, values[1]!.value), plain: (r) => r[0]! < r[1]! });
  for (let step = 0; step < length; step++) {
    const [a, b] = [any(values), any(values)];
    const [s, t] = [any(tests), any(tests)];
    const squareAndOne = tape.add(tape.constant(1), tape.multiply(b.value, b.value));
    const made: (() => unknown)[] = [
      () => values.push({ value: tape.add(a.value, b.value), plain: (r) => a.plain(r) + b.plain(r) }),
      () => values.push({ value: tape.subtract(a.value, b.value), plain: (r) => a.plain(r) - b.plain(r) }),
      () => values.push({ value: tape.multiply(a.value, b.value), plain: (r) => a.plain(r) * b.plain(r) }),
      () =>
        values.push({
          value: tape.divide(a.value, squareAndOne),
          plain: (r) => a.plain(r) / (1 + b.plain(r) * b.plain(r)),
        }),
      () => values.push({ value: tape.negate(a.value), plain: (r) => -a.plain(r) }),
      () => values.push({ value: tape.absolute(a.value), plain: (r) => Math.abs(a.plain(r)) }),
      () =>
        values.push({ value: tape.larger(a.value, b.value), plain: (r) => Math.max(a.plain(r), b.plain(r)) }),
      () =>
        values.push({
          value: tape.pick(s.test, a.value, b.value),
          plain: (r) => (s.plain(r) ? a.plain(r) : b.plain(r)),
        }),
      () => tests.push({ test: tape.less(a.value, b.value), plain: (r) => a.plain(r) < b.plain(r) }),
      () => tests.push({ test: tape.atMost(a.value, b.value), plain: (r) => a.plain(r) <= b.plain(r) }),
      () => tests.push({ test: tape.differ(a.value, b.value), plain: (r) => a.plain(r) !== b.plain(r) }),
      () => tests.push({ test: tape.both(s.test, t.test), plain: (r) => s.plain(r) && t.plain(r) }),
      () => tests.push({ test: tape.either(s.test, t.test), plain: (r) => s.plain(r) || t.plain(r) }),
    ];
    any(made)();
  }
  const kept = values.slice(-12);
  // Written over the first inputs: everything must have been read before.
  for (const [k, { value }] of kept.entries()) tape.store(k, value);
  const told = tests.slice(-3);
  for (const { test } of told) tape.answer(test);
  return {
    routine: tape.finish("random"),
    expected: (record) => ({
      stored: kept.map(({ plain }) => plain(record)),
      answers: told.map(({ plain }) => plain(record)),
    }),
  };
}
