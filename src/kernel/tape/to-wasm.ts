import { namedEntries } from "./emit-plan.js";
import type { Entry, Op, Routine } from "./value.js";
import { code, type WasmFunction } from "./wasm-bytes.js";

/** Bytes of a double, and of a pair of them: one for each lane. */
export const DOUBLE = 8;
export const PAIR = 16;

/** Constants of all routines of a module: each once, in both lanes. */
export class ConstantTable {
  readonly #start: number;
  readonly #places = new Map<number, number>();

  /** @param start byte at which the table begins. */
  constructor(start: number) {
    this.#start = start;
  }

  /** Byte at which a constant is kept. */
  placeOf(constant: number): number {
    const place = this.#places.get(constant) ?? this.end;
    this.#places.set(constant, place);
    return place;
  }

  /** Byte at which the table ends. */
  get end(): number {
    return this.#start + this.#places.size * PAIR;
  }

  writeTo(memory: Float64Array): void {
    for (const [constant, place] of this.#places)
      memory.fill(constant, place / DOUBLE, (place + PAIR) / DOUBLE);
  }
}

/**
 * WebAssembly for a routine: two trials at a time, one in each lane of a 128-bit register. A test is all ones or all zeros in a trial's lane.
 * Every operation is the IEEE one on each lane by itself, so a trial's result does not depend on its neighbour.
 *
 * Named values are laid down on a desk, a stretch of memory at byte 0 that all routines share, and picked up from there unless they are near at hand. Left in locals alone, a few
 * thousand of them make V8's optimising compiler take all that could be done at once before anything that follows, moving every value to its stack and back: half as fast.
 */
export function toWasm(routine: Routine, constants: ConstantTable): WasmFunction {
  return new Writer(routine, constants).written();
}

/** Bytes of desk that a routine needs. */
export const deskBytes = (routine: Routine): number => namedEntries(routine).length * PAIR;

/** A value is near at hand, in its local, when no more than this many named ones have been worked out since it was last touched. From 8 to 24 there is little difference. */
const NEAR = 16;

/** The two parameters: word, later byte, at which the records of the lower and the upper lane's trial start. */
const RECORD = [0, 1] as const;

/** Instruction of each operation whose operands are pushed in their own order. */
const INSTRUCTION: Record<Exclude<Op, "constant" | "load" | "pick">, number[]> = {
  add: code.add,
  subtract: code.subtract,
  multiply: code.multiply,
  divide: code.divide,
  negate: code.negate,
  absolute: code.absolute,
  larger: code.larger,
  less: code.less,
  atMost: code.atMost,
  both: code.and,
  either: code.or,
  differ: code.notEqual,
};

class Writer {
  readonly #routine: Routine;
  readonly #constants: ConstantTable;
  /** Place of each named value on the desk, in bytes. */
  readonly #desk: ReadonlyMap<Entry, number>;
  readonly #locals = new Map<Entry, number>();
  /** For each value in a local, how many named ones had been worked out when it was last touched. */
  readonly #touched = new Map<Entry, number>();
  readonly #body: number[] = [];
  #now = 0;

  constructor(routine: Routine, constants: ConstantTable) {
    this.#routine = routine;
    this.#constants = constants;
    this.#desk = new Map(namedEntries(routine).map((entry, i) => [entry, i * PAIR]));
  }

  written(): WasmFunction {
    const { name, stores, answers } = this.#routine;
    for (const record of RECORD) {
      this.#push(code.getLocal(record), code.integer(3), code.shiftLeft, code.setLocal(record));
    }
    for (const [entry, place] of this.#desk) {
      this.#push(code.integer(0));
      this.#compute(entry);
      this.#push(code.teeLocal(this.#localOf(entry)), code.storePair(place));
      this.#touched.set(entry, this.#now++);
    }
    for (const { place, value } of stores) {
      for (const lane of [0, 1] as const) {
        this.#push(code.getLocal(RECORD[lane]));
        this.#use(value);
        this.#push(code.storeLane(place * DOUBLE, lane));
      }
      this.#now++;
    }
    this.#push(code.integer(0));
    for (const [k, test] of answers.entries()) {
      this.#use(test);
      this.#push(code.laneSigns, code.integer(2 * k), code.shiftLeft, code.integerOr);
    }
    this.#push(code.end);
    return { name, pairs: this.#locals.size, body: this.#body };
  }

  #push(...instructions: readonly (readonly number[])[]): void {
    for (const bytes of instructions) this.#body.push(...bytes);
  }

  /** Pushes a value: from its local when it is near at hand, else from memory; one without a name is worked out in place. */
  #use(entry: Entry): void {
    const place = entry.op === "constant" ? this.#constants.placeOf(entry.detail) : this.#desk.get(entry);
    if (place === undefined) {
      this.#compute(entry);
      return;
    }
    const local = this.#localOf(entry);
    const age = this.#now - (this.#touched.get(entry) ?? Number.NEGATIVE_INFINITY);
    if (age <= NEAR) this.#push(code.getLocal(local));
    else this.#push(code.integer(0), code.loadPair(place), code.teeLocal(local));
    this.#touched.set(entry, this.#now);
  }

  #compute({ op, from, detail }: Entry): void {
    if (op === "load") {
      this.#push(code.getLocal(RECORD[1]), code.getLocal(RECORD[0]));
      this.#push(code.loadLower(detail * DOUBLE), code.loadUpper(detail * DOUBLE));
    } else if (op === "pick") {
      const [test, a, b] = from;
      for (const part of [a!, b!, test!]) this.#use(part);
      this.#push(code.select);
    } else {
      for (const part of from) this.#use(part);
      this.#push(INSTRUCTION[op as keyof typeof INSTRUCTION]);
    }
  }

  #localOf(entry: Entry): number {
    const local = this.#locals.get(entry) ?? RECORD.length + this.#locals.size;
    this.#locals.set(entry, local);
    return local;
  }
}
