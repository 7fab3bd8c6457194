import { at } from "../../core/numeric/dense.js";

/**
 * A tape, as in automatic differentiation and code generation: the list of arithmetic operations that a computation consists of, recorded instead of carried out.
 * Constants are folded, a product with 0 is 0, a sum with 0 is the other term, and a common subexpression is recorded once.
 * A matrix that is mostly zeros therefore needs no sparse code: its zeros are never recorded.
 *
 * Recorded values are assumed to be finite, so that 0·x = 0 holds.
 */
export class Tape {
  readonly #entries: Entry[] = [];
  readonly #known = new Map<Op, Map<number, Entry[]>>();
  readonly #stores: Store[] = [];
  readonly #answers: Test[] = [];
  readonly zero = this.constant(0);

  constant(number: number): Value {
    // −0 and 0 would be two constants.
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

  /** `a` if either is NaN. */
  larger(a: Value, b: Value): Value {
    return this.#number("larger", [a, b]);
  }

  /** `a` if the test holds, otherwise `b`. */
  pick(test: Test, a: Value, b: Value): Value {
    return a === b ? a : this.#number("pick", [test, a, b]);
  }

  less(a: Value, b: Value): Test {
    return this.#test("less", [a, b]);
  }

  /** False if either is NaN. */
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
        const factor = at(a, i);
        return this.multiply(typeof factor === "number" ? this.constant(factor) : factor, value);
      }),
    );
  }

  /** When the routine ends, the number is written to a place of the trial's record. */
  store(place: number, value: Value): void {
    this.#stores.push({ place, value });
  }

  /** Adds a test to the results of the routine. */
  answer(test: Test): void {
    this.#answers.push(test);
  }

  /** The recorded operations, without those that no stored number and no returned test needs. */
  finish(name: string): Routine {
    const needed = new Uint8Array(this.#entries.length);
    for (const { value } of this.#stores) needed[value.id] = 1;
    for (const { id } of this.#answers) needed[id] = 1;
    // Every entry comes after its operands.
    for (let k = needed.length - 1; k >= 0; k--)
      if (needed[k]) for (const { id } of at(this.#entries, k).from) needed[id] = 1;
    const entries = this.#entries.filter(({ id }) => needed[id]);
    return { name, entries, stores: this.#stores, answers: this.#answers };
  }

  #number(op: Op, from: readonly Entry[], detail = 0): Value {
    return this.#entry("number", op, from, detail) as Value;
  }

  #test(op: Op, from: readonly Entry[]): Test {
    return this.#entry("test", op, from, 0) as Test;
  }

  #entry(kind: Entry["kind"], op: Op, from: readonly Entry[], detail: number): Entry {
    let ofOp = this.#known.get(op);
    if (ofOp === undefined) {
      ofOp = new Map();
      this.#known.set(op, ofOp);
    }
    // Entries with the same first two operands, or the same constant or position: rarely more than one.
    const [a, b, c] = from;
    const key = a === undefined ? detail : a.id * MOST_ENTRIES + (b?.id ?? 0);
    const alike = ofOp.get(key);
    if (alike) for (const known of alike) if (known.from[2] === c) return known;
    const entry: Entry = { kind, id: this.#entries.length, op, from, detail };
    this.#entries.push(entry);
    if (alike) alike.push(entry);
    else ofOp.set(key, [entry]);
    return entry;
  }
}

/** Larger than the length of any tape, so that two positions can be combined into one exact number. */
const MOST_ENTRIES = 2 ** 26;

const isConstant = ({ op }: Entry): boolean => op === "constant";
const operand = (entry: Value): Value => entry.from[0] as Value;
/** Sums and products do not depend on the order of their terms, so one order is recorded. */
const inOrder = (a: Value, b: Value): [Value, Value] => (a.id <= b.id ? [a, b] : [b, a]);

/** The operation that makes a value on a tape. `less` and `atMost` compare, and their results are tests, not numbers. */
export type Op =
  | "constant"
  | "load"
  | "add"
  | "subtract"
  | "multiply"
  | "divide"
  | "negate"
  | "absolute"
  | "larger"
  | "pick"
  | "less"
  | "atMost"
  | "both"
  | "either"
  | "differ";

/** One step of a recorded calculation: an operation on earlier ones. */
export interface Entry<Kind extends "number" | "test" = "number" | "test"> {
  readonly kind: Kind;
  /** Its index on the tape; every entry comes after its operands. */
  readonly id: number;
  readonly op: Op;
  readonly from: readonly Entry[];
  /** The value of a constant, the index in the record of a load, otherwise 0. */
  readonly detail: number;
}

/** A number, one for each trial that a routine works on. */
export type Value = Entry<"number">;

/** Whether something holds, for each trial. */
export type Test = Entry<"test">;

/** A number written to a place of the trial's record. */
interface Store {
  readonly place: number;
  readonly value: Value;
}

/** Straight-line arithmetic on one trial's record: no branches, no loops. */
export interface Routine {
  readonly name: string;
  readonly entries: readonly Entry[];
  readonly stores: readonly Store[];
  /** The tests that the routine returns, one bit each. */
  readonly answers: readonly Test[];
}

/** The entries that get a variable of their own; the others are written where they are used. */
export function namedEntries({ entries, stores, answers }: Routine): Entry[] {
  const uses = new Uint32Array((entries.at(-1)?.id ?? -1) + 1);
  for (const { from } of entries) for (const { id } of from) uses[id]!++;
  // A store writes a value once for each trial.
  for (const { value } of stores) uses[value.id]! += 2;
  // Tests are returned after all stores, so they must be evaluated before.
  for (const { id } of answers) uses[id]! += 2;
  return entries.filter(({ op, id }) => op !== "constant" && uses[id]! > 1);
}

/** Bound on the first omitted terms of the series. */
const LEFT_OUT = 1e-17;

/**
 * Sine and cosine of an angle of at most `limit` (rad, < 1) by their Taylor series, written as 1 − x²/(k·(k+1))·(1 − …); as many terms as the limit needs for the last bit.
 */
export function smallAngle(tape: Tape, angle: Value, limit: number): { sine: Value; cosine: Value } {
  const square = tape.multiply(angle, angle);
  const series = (first: number): Value => {
    const ratios: number[] = [];
    let term = 1;
    for (let k = first; ; k += 2) {
      const ratio = 1 / (k * (k + 1));
      term *= limit * limit * ratio;
      if (term < LEFT_OUT) break;
      ratios.push(ratio);
    }
    const one = tape.constant(1);
    return ratios.reduceRight(
      (rest, ratio) => tape.subtract(one, tape.multiply(tape.multiply(tape.constant(ratio), square), rest)),
      one,
    );
  };
  return { sine: tape.multiply(angle, series(2)), cosine: series(1) };
}

interface SymmetricSolution {
  readonly solution: Value[];
  /** The pivots Dᵢ in the order of elimination, beside the diagonal element that each began as. */
  readonly pivots: { readonly pivot: Value; readonly diagonal: Value }[];
}

/**
 * Solves A·x = b for a symmetric A by A = L·D·Lᵀ, taking the unknowns in `order`. Written for a full matrix;
 * on a tape the zeros of A leave nothing behind, so the order decides how much is recorded. Only the part of A on and below the diagonal, in that order, is read.
 */
export function solveSymmetric(
  tape: Tape,
  a: readonly (readonly Value[])[],
  b: readonly Value[],
  order: readonly number[],
): SymmetricSolution {
  const n = order.length;
  const left = order.map((row, i) => order.slice(0, i + 1).map((column) => at(at(a, row), column)));
  const right = order.map((row) => at(b, row));
  const pivots = left.map((row, i) => ({ pivot: at(row, i), diagonal: at(row, i) }));
  const inverse: Value[] = [];
  const factor: Value[][] = order.map(() => []);
  for (let j = 0; j < n; j++) {
    const pivot = at(at(left, j), j);
    pivots[j] = { ...at(pivots, j), pivot };
    inverse[j] = tape.divide(tape.constant(1), pivot);
    for (let i = j + 1; i < n; i++) {
      const l = tape.multiply(at(at(left, i), j), at(inverse, j));
      at(factor, i)[j] = l;
      for (let k = j + 1; k <= i; k++) {
        at(left, i)[k] = tape.subtract(at(at(left, i), k), tape.multiply(l, at(at(left, k), j)));
      }
      right[i] = tape.subtract(at(right, i), tape.multiply(l, at(right, j)));
    }
  }
  const solution: Value[] = [];
  for (let j = n - 1; j >= 0; j--) {
    let x = tape.multiply(at(right, j), at(inverse, j));
    for (let i = j + 1; i < n; i++)
      x = tape.subtract(x, tape.multiply(at(at(factor, i), j), at(solution, at(order, i))));
    solution[at(order, j)] = x;
  }
  return { solution, pivots };
}
