import type { Entry, Op, Routine, Store, Test, Value } from "./value.js";

/**
 * Records arithmetic instead of doing it. What is written as dense algebra over a tape comes out as a short list of the operations that matter:
 * constants are worked out at once, a product with 0 is 0, a sum with 0 is the other term, and the same operation asked for twice is recorded once.
 * So a matrix that is mostly zeros needs no sparse code: its zeros are never recorded.
 *
 * A recorded value is taken to be finite, so that 0·x = 0 holds.
 */
export class Tape {
  readonly #entries: Entry[] = [];
  readonly #known = new Map<string, Entry>();
  readonly #stores: Store[] = [];
  readonly #answers: Test[] = [];
  readonly zero = this.constant(0);

  constant(number: number): Value {
    // −0 would be told apart from 0.
    return this.#number("constant", [], number === 0 ? 0 : number);
  }

  /** The number at a place of the trial's record when the routine starts. */
  load(place: number): Value {
    return this.#number("load", [], place);
  }

  add(a: Value, b: Value): Value {
    if (isConstant(a) && isConstant(b)) return this.constant(a.detail + b.detail);
    if (a === this.zero) return b;
    if (b === this.zero) return a;
    if (b.op === "negate") return this.subtract(a, operand(b));
    if (a.op === "negate") return this.subtract(b, operand(a));
    return this.#number("add", inOrder(a, b));
  }

  subtract(a: Value, b: Value): Value {
    if (isConstant(a) && isConstant(b)) return this.constant(a.detail - b.detail);
    if (b === this.zero) return a;
    if (a === this.zero) return this.negate(b);
    if (b.op === "negate") return this.add(a, operand(b));
    return this.#number("subtract", [a, b]);
  }

  multiply(a: Value, b: Value): Value {
    if (isConstant(a) && isConstant(b)) return this.constant(a.detail * b.detail);
    if (isConstant(b)) return this.multiply(b, a);
    if (isConstant(a)) {
      if (a.detail === 0) return this.zero;
      if (a.detail === 1) return b;
      if (a.detail === -1) return this.negate(b);
      if (b.op === "negate") return this.multiply(this.constant(-a.detail), operand(b));
    }
    return this.#number("multiply", inOrder(a, b));
  }

  divide(a: Value, b: Value): Value {
    if (isConstant(a) && isConstant(b)) return this.constant(a.detail / b.detail);
    if (a === this.zero) return a;
    return this.#number("divide", [a, b]);
  }

  negate(a: Value): Value {
    if (isConstant(a)) return this.constant(-a.detail);
    if (a.op === "negate") return operand(a);
    return this.#number("negate", [a]);
  }

  absolute(a: Value): Value {
    return isConstant(a) ? this.constant(Math.abs(a.detail)) : this.#number("absolute", [a]);
  }

  /** `a` where either is not a number. */
  larger(a: Value, b: Value): Value {
    return this.#number("larger", [a, b]);
  }

  /** `a` where the test holds, else `b`. */
  pick(test: Test, a: Value, b: Value): Value {
    return a === b ? a : this.#number("pick", [test, a, b]);
  }

  less(a: Value, b: Value): Test {
    return this.#test("less", [a, b]);
  }

  /** Fails where either is not a number. */
  atMost(a: Value, b: Value): Test {
    return this.#test("atMost", [a, b]);
  }

  both(a: Test, b: Test): Test {
    return this.#test("both", [a, b]);
  }

  /** Whether all of them hold; there must be one. */
  all(tests: readonly Test[]): Test {
    return tests.reduce((every, test) => this.both(every, test));
  }

  /** Whether any holds; there must be one. */
  any(tests: readonly Test[]): Test {
    return tests.reduce((some, test) => this.either(some, test));
  }

  either(a: Test, b: Test): Test {
    return this.#test("either", [a, b]);
  }

  /** Whether two numbers differ. */
  differ(a: Value, b: Value): Test {
    return this.#test("differ", [a, b]);
  }

  sum(terms: readonly Value[]): Value {
    return terms.reduce((total, term) => this.add(total, term), this.zero);
  }

  /** Σ aᵢ·bᵢ; numbers stand for constants. */
  dot(a: ArrayLike<Value | number>, b: readonly Value[]): Value {
    return this.sum(
      b.map((value, i) => {
        const factor = a[i]!;
        return this.multiply(typeof factor === "number" ? this.constant(factor) : factor, value);
      }),
    );
  }

  /** When the routine ends, the number is written to a place of the trial's record. */
  store(place: number, value: Value): void {
    this.#stores.push({ place, value });
  }

  /** Adds a test to what the routine answers. */
  answer(test: Test): void {
    this.#answers.push(test);
  }

  /** What was recorded, without what nothing stored or answered needs. */
  finish(name: string): Routine {
    const needed = new Set<Entry>();
    const visit = (entry: Entry): void => {
      if (needed.has(entry)) return;
      needed.add(entry);
      entry.from.forEach(visit);
    };
    for (const { value } of this.#stores) visit(value);
    this.#answers.forEach(visit);
    const entries = this.#entries.filter((entry) => needed.has(entry));
    return { name, entries, stores: this.#stores, answers: this.#answers };
  }

  #number(op: Op, from: readonly Entry[], detail = 0): Value {
    return this.#entry("number", op, from, detail) as Value;
  }

  #test(op: Op, from: readonly Entry[]): Test {
    return this.#entry("test", op, from, 0) as Test;
  }

  #entry(kind: Entry["kind"], op: Op, from: readonly Entry[], detail: number): Entry {
    const key = `${op} ${from.map(({ id }) => id).join(" ")} ${detail}`;
    const known = this.#known.get(key);
    if (known) return known;
    const entry: Entry = { kind, id: this.#entries.length, op, from, detail };
    this.#entries.push(entry);
    this.#known.set(key, entry);
    return entry;
  }
}

const isConstant = ({ op }: Entry): boolean => op === "constant";
const operand = (entry: Value): Value => entry.from[0] as Value;
/** Sums and products do not depend on the order of their terms, so one order is recorded. */
const inOrder = (a: Value, b: Value): [Value, Value] => (a.id <= b.id ? [a, b] : [b, a]);
