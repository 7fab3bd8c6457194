import { type Entry, namedEntries, type Op, type Routine } from "./tape.js";

/** The few instructions and sections of WebAssembly that routines need (WebAssembly Core Specification 2.0, chapter 5, binary format). */

/** Numbers are written in groups of seven bits, lowest first; the top bit says that more follow (LEB128). */
export function unsignedLeb(value: number): number[] {
  const bytes: number[] = [];
  let rest = value;
  do {
    const low = rest % 128;
    rest = Math.floor(rest / 128);
    bytes.push(rest > 0 ? low + 128 : low);
  } while (rest > 0);
  return bytes;
}

/** The same, with bit 6 of the last group as the sign: for constants. */
export function signedLeb(value: number): number[] {
  const bytes: number[] = [];
  for (let rest = value; ; rest >>= 7) {
    const low = rest & 127;
    const last = rest >= -64 && rest < 64;
    bytes.push(last ? low : low + 128);
    if (last) return bytes;
  }
}

const simd = (code: number, ...operands: number[]): number[] => [0xfd, ...unsignedLeb(code), ...operands];
/** Alignment (as a power of two, here 8 bytes) and offset of an access to memory. */
const memoryArgument = (offset: number): number[] => [3, ...unsignedLeb(offset)];

/** Instructions by what they do; `lanes` are the two doubles of a 128-bit register. */
const code = {
  getLocal: (local: number): number[] => [0x20, ...unsignedLeb(local)],
  teeLocal: (local: number): number[] => [0x22, ...unsignedLeb(local)],
  setLocal: (local: number): number[] => [0x21, ...unsignedLeb(local)],
  integer: (value: number): number[] => [0x41, ...signedLeb(value)],
  shiftLeft: [0x74],
  integerOr: [0x72],
  /** One double to the lower lane, 0 to the upper. */
  loadLower: (offset: number): number[] => simd(0x5d, ...memoryArgument(offset)),
  /** One double to the upper lane of a register that is there already. */
  loadUpper: (offset: number): number[] => simd(0x57, ...memoryArgument(offset), 1),
  loadPair: (offset: number): number[] => simd(0x00, ...memoryArgument(offset)),
  storePair: (offset: number): number[] => simd(0x0b, ...memoryArgument(offset)),
  storeLane: (offset: number, lane: 0 | 1): number[] => simd(0x5b, ...memoryArgument(offset), lane),
  notEqual: simd(0x48),
  less: simd(0x49),
  atMost: simd(0x4b),
  and: simd(0x4e),
  or: simd(0x50),
  /** Selects the bits of the first operand where the third has ones, otherwise those of the second. */
  select: simd(0x52),
  /** The top bits of both lanes as the two lowest of an integer. */
  laneSigns: simd(0xc4),
  absolute: simd(0xec),
  negate: simd(0xed),
  add: simd(0xf0),
  subtract: simd(0xf1),
  multiply: simd(0xf2),
  divide: simd(0xf3),
  /** a < b ? b : a, one machine instruction; the maximum that propagates NaN takes several. */
  larger: simd(0xf7),
  end: [0x0b],
} as const;

const type = { i32: 0x7f, v128: 0x7b, function: 0x60 };

type Bytes = readonly number[] | Uint8Array;

function joined(parts: readonly Bytes[]): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

const vector = (items: readonly Bytes[]): Bytes => joined([unsignedLeb(items.length), ...items]);
const sized = (...parts: readonly Bytes[]): Bytes => {
  const content = joined(parts);
  return joined([unsignedLeb(content.length), content]);
};
const section = (id: number, content: Bytes): Bytes => joined([[id], sized(content)]);
const text = (name: string): Bytes => sized(new TextEncoder().encode(name));

/** A function (i32, i32) → i32 with further locals, all of them pairs of doubles. */
interface WasmFunction {
  readonly name: string;
  readonly pairs: number;
  readonly body: Bytes;
}

/** A module that exports the functions and imports its memory as `kernel.memory`. */
export function wasmModule(functions: readonly WasmFunction[]): Uint8Array<ArrayBuffer> {
  const signature = [type.function, 2, type.i32, type.i32, 1, type.i32];
  const memory = joined([text("kernel"), text("memory"), [0x02, 0x00, 1]]);
  const exported = functions.map(({ name }, i) => joined([text(name), [0x00], unsignedLeb(i)]));
  const bodies = functions.map(({ pairs, body }) => sized([1], unsignedLeb(pairs), [type.v128], body));
  return joined([
    [0x00, 0x61, 0x73, 0x6d],
    [1, 0, 0, 0],
    section(1, vector([signature])),
    section(2, vector([memory])),
    section(3, vector(functions.map(() => [0]))),
    section(7, vector(exported)),
    section(10, vector(bodies)),
  ]);
}

/** Bytes of a double, and of a pair of them: one for each lane. */
export const DOUBLE = 8;
const PAIR = 16;

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
 * Named values are stored in scratch memory, from byte 0, which all routines share, and loaded again unless they were used a moment ago. Left in locals alone, a few
 * thousand of them make V8's optimising compiler take all that could be done at once before anything that follows, moving every value to its stack and back: half as fast.
 */
export function toWasm(routine: Routine, constants: ConstantTable): WasmFunction {
  return new Writer(routine, constants).written();
}

/** Bytes of scratch memory that a routine needs. */
export const scratchBytes = (routine: Routine): number => namedEntries(routine).length * PAIR;

/** A value is still in its local if at most this many named values have been computed since it was last used. Values from 8 to 24 make little difference. */
const NEAR = 16;
const LONG_AGO = -1 - NEAR;

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
  readonly #named: readonly Entry[];
  /** By the position of an entry on the tape: the position of a named value in scratch memory (in bytes), and its local; −1 if it has none. */
  readonly #scratch: Int32Array;
  readonly #locals: Int32Array;
  #localCount = 0;
  /** For each value in a local, how many named values had been computed when it was last used. */
  readonly #touched: Int32Array;
  readonly #body: number[] = [];
  #now = 0;

  constructor(routine: Routine, constants: ConstantTable) {
    this.#routine = routine;
    this.#constants = constants;
    this.#named = namedEntries(routine);
    const entries = (routine.entries.at(-1)?.id ?? -1) + 1;
    this.#scratch = new Int32Array(entries).fill(-1);
    this.#locals = new Int32Array(entries).fill(-1);
    this.#touched = new Int32Array(entries).fill(LONG_AGO);
    for (const [i, { id }] of this.#named.entries()) this.#scratch[id] = i * PAIR;
  }

  written(): WasmFunction {
    const { name, stores, answers } = this.#routine;
    for (const record of RECORD) {
      this.#push(code.getLocal(record), code.integer(3), code.shiftLeft, code.setLocal(record));
    }
    for (const [i, entry] of this.#named.entries()) {
      this.#push(code.integer(0));
      this.#compute(entry);
      this.#push(code.teeLocal(this.#localOf(entry)), code.storePair(i * PAIR));
      this.#touched[entry.id] = this.#now++;
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
    return { name, pairs: this.#localCount, body: this.#body };
  }

  #push(...instructions: readonly (readonly number[])[]): void {
    for (const bytes of instructions) for (const byte of bytes) this.#body.push(byte);
  }

  /** Pushes a value: from its local if it is still there, otherwise from memory; a value without a name is computed in place. */
  #use(entry: Entry): void {
    const place = entry.op === "constant" ? this.#constants.placeOf(entry.detail) : this.#scratch[entry.id]!;
    if (place < 0) {
      this.#compute(entry);
      return;
    }
    const local = this.#localOf(entry);
    if (this.#now - this.#touched[entry.id]! <= NEAR) this.#push(code.getLocal(local));
    else this.#push(code.integer(0), code.loadPair(place), code.teeLocal(local));
    this.#touched[entry.id] = this.#now;
  }

  #compute({ op, from, detail }: Entry): void {
    if (op === "load") {
      this.#push(code.getLocal(RECORD[1]), code.getLocal(RECORD[0]));
      this.#push(code.loadLower(detail * DOUBLE), code.loadUpper(detail * DOUBLE));
    } else if (op === "pick") {
      const [test, ...chosen] = from;
      for (const part of [...chosen, test]) if (part) this.#use(part);
      this.#push(code.select);
    } else {
      for (const part of from) this.#use(part);
      this.#push(INSTRUCTION[op as keyof typeof INSTRUCTION]);
    }
  }

  #localOf({ id }: Entry): number {
    if (this.#locals[id]! < 0) this.#locals[id] = RECORD.length + this.#localCount++;
    return this.#locals[id]!;
  }
}

/** The part of WebAssembly's JavaScript interface that the engine uses; the type libraries of this project do not have it. */
interface WebAssemblyApi {
  validate(bytes: Uint8Array): boolean;
  readonly Memory: new (limits: { initial: number; maximum: number }) => { readonly buffer: ArrayBuffer };
  readonly Module: new (bytes: Uint8Array) => object;
  readonly Instance: new (
    module: object,
    imports: Readonly<Record<string, Readonly<Record<string, unknown>>>>,
  ) => { readonly exports: Readonly<Record<string, unknown>> };
}

/** Absent where the engine has none. */
export const webAssembly = (globalThis as { WebAssembly?: WebAssemblyApi }).WebAssembly;
