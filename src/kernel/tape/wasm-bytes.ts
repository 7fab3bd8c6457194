/** The few instructions and sections of WebAssembly that routines need (WebAssembly Core Specification 2.0, chapter 5, binary format). */

/** Numbers are written in groups of seven bits, lowest first; the top bit says that more follow (LEB128). */
export function unsigned(value: number): number[] {
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
export function signed(value: number): number[] {
  const bytes: number[] = [];
  for (let rest = value; ; rest >>= 7) {
    const low = rest & 127;
    const last = rest >= -64 && rest < 64;
    bytes.push(last ? low : low + 128);
    if (last) return bytes;
  }
}

const simd = (code: number, ...operands: number[]): number[] => [0xfd, ...unsigned(code), ...operands];
/** Alignment (as a power of two, here 8 bytes) and offset of an access to memory. */
const at = (offset: number): number[] => [3, ...unsigned(offset)];

/** Instructions by what they do; `lanes` are the two doubles of a 128-bit register. */
export const code = {
  getLocal: (local: number): number[] => [0x20, ...unsigned(local)],
  teeLocal: (local: number): number[] => [0x22, ...unsigned(local)],
  setLocal: (local: number): number[] => [0x21, ...unsigned(local)],
  integer: (value: number): number[] => [0x41, ...signed(value)],
  shiftLeft: [0x74],
  integerOr: [0x72],
  /** One double to the lower lane, 0 to the upper. */
  loadLower: (offset: number): number[] => simd(0x5d, ...at(offset)),
  /** One double to the upper lane of a register that is there already. */
  loadUpper: (offset: number): number[] => simd(0x57, ...at(offset), 1),
  loadPair: (offset: number): number[] => simd(0x00, ...at(offset)),
  storePair: (offset: number): number[] => simd(0x0b, ...at(offset)),
  storeLane: (offset: number, lane: 0 | 1): number[] => simd(0x5b, ...at(offset), lane),
  notEqual: simd(0x48),
  less: simd(0x49),
  atMost: simd(0x4b),
  and: simd(0x4e),
  or: simd(0x50),
  /** Takes bits of the first where the third has ones, else of the second. */
  select: simd(0x52),
  /** The top bits of both lanes as the two lowest of an integer. */
  laneSigns: simd(0xc4),
  absolute: simd(0xec),
  negate: simd(0xed),
  add: simd(0xf0),
  subtract: simd(0xf1),
  multiply: simd(0xf2),
  divide: simd(0xf3),
  /** a < b ? b : a, one machine instruction; the maximum that spreads what is not a number takes several. */
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

const vector = (items: readonly Bytes[]): Bytes => joined([unsigned(items.length), ...items]);
const sized = (...parts: readonly Bytes[]): Bytes => {
  const content = joined(parts);
  return joined([unsigned(content.length), content]);
};
const section = (id: number, content: Bytes): Bytes => joined([[id], sized(content)]);
const text = (name: string): Bytes => sized(new TextEncoder().encode(name));

/** A function (i32, i32) → i32 with further locals, all of them pairs of doubles. */
export interface WasmFunction {
  readonly name: string;
  readonly pairs: number;
  readonly body: Bytes;
}

/** A module that exports the functions and imports its memory as `door.memory`. */
export function wasmModule(functions: readonly WasmFunction[]): Uint8Array<ArrayBuffer> {
  const signature = [type.function, 2, type.i32, type.i32, 1, type.i32];
  const memory = joined([text("door"), text("memory"), [0x02, 0x00, 1]]);
  const exported = functions.map(({ name }, i) => joined([text(name), [0x00], unsigned(i)]));
  const bodies = functions.map(({ pairs, body }) => sized([1], unsigned(pairs), [type.v128], body));
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
