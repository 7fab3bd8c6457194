import { refuse } from "../errors.js";
import { Xoshiro128 } from "./xoshiro.js";
import { buildZiggurat, LAYERS } from "./ziggurat.js";

/** A reproducible source of random numbers: the same seed and sub-stream give the same numbers (normals depend on the engine's exp and log). */
export interface RandomStream {
  /** Uniform number, 0 to 1 (exclusive), in whole multiples of 2⁻⁵³. */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
  /** Uniform whole number in 0 … n − 1, without bias; 1 ≤ n ≤ 2⁵³. */
  integer(n: number): number;
  /** Fills `target` with standard normals and returns it. */
  fill(target: Float64Array): Float64Array;
  /** Fills `target` with uniform numbers, 0 to 1 (exclusive), and returns it. */
  fillUniform(target: Float64Array): Float64Array;
}

/** Largest sub-stream. Each is reached by one more jump (about 1 µs), so their number is limited. */
export const MOST_SUBSTREAMS = 1_000_000;

/** Largest seed that commands and jobs accept: seeds derived from it are still exact integers. */
export const MOST_SEED = 1e15;

/**
 * A stream from `seed` (whole, 0 … 2⁵³ − 1) and `substream` (whole, 0 … 1 000 000, default 0).
 *
 * Generator: xoshiro128++ (D. Blackman and S. Vigna, ACM Trans. Math. Softw. 47(4), 2021), period 2¹²⁸ − 1, with its state filled from the seed by SplitMix64, so that neighbouring
 * seeds give unrelated states. Sub-stream k starts k·2⁶⁴ draws further on, so no two sub-streams of one seed overlap. A normal takes one
 * 32-bit draw nearly always: it is one of some 2³² values, at most 4.4·10⁻⁷ apart.
 * @throws RangeError for a seed or sub-stream outside its range
 * @example
 * createStream(1).uniform() // 0.8656
 */
export function createStream(seed: number, substream = 0): RandomStream {
  const generator = start(seed);
  if (!(Number.isInteger(substream) && substream >= 0 && substream <= MOST_SUBSTREAMS))
    refuse("no such sub-stream", `it must be whole, 0 … ${MOST_SUBSTREAMS}`, substream, "createStream");
  for (let k = 0; k < substream; k++) generator.jump();
  return new Stream(generator);
}

/** Sub-streams 0 … count − 1 of one seed, as {@link createStream} gives them one by one. */
export function createStreams(seed: number, count: number): RandomStream[] {
  if (!(Number.isInteger(count) && count >= 0 && count <= MOST_SUBSTREAMS))
    refuse("no such number of streams", `it must be whole, 0 … ${MOST_SUBSTREAMS}`, count, "createStreams");
  const generator = start(seed);
  return Array.from({ length: count }, () => {
    const stream = new Stream(generator.clone());
    generator.jump();
    return stream;
  });
}

function start(seed: number): Xoshiro128 {
  if (!(Number.isSafeInteger(seed) && seed >= 0))
    refuse("the seed is not usable", "it must be whole, 0 … 2⁵³ − 1", seed, "createStream");
  needTables();
  return new Xoshiro128(splitMix(seed));
}

/** Four 32-bit words of state from a seed: two outputs of SplitMix64 (never both zero). */
function splitMix(seed: number): Int32Array {
  const words: number[] = [];
  let state = BigInt(seed);
  for (let k = 0; k < 2; k++) {
    state = BigInt.asUintN(64, state + 0x9e3779b97f4a7c15n);
    let z = state;
    z = BigInt.asUintN(64, (z ^ (z >> 30n)) * 0xbf58476d1ce4e5b9n);
    z = BigInt.asUintN(64, (z ^ (z >> 27n)) * 0x94d049bb133111ebn);
    z ^= z >> 31n;
    words.push(Number(z >> 32n) | 0, Number(z & 0xffffffffn) | 0);
  }
  return Int32Array.from(words);
}

function keep(state: Int32Array, a: number, b: number, c: number, d: number): void {
  state[0] = a;
  state[1] = b;
  state[2] = c;
  state[3] = d;
}

class Stream implements RandomStream {
  readonly #generator: Xoshiro128;

  constructor(generator: Xoshiro128) {
    this.#generator = generator;
  }

  uniform(): number {
    const high = this.#generator.next() >>> 5;
    const low = this.#generator.next() >>> 6;
    return (high * 0x4000000 + low) * 2 ** -53;
  }

  normal(): number {
    const draw = this.#generator.next();
    const layer = draw & 255;
    const place = draw >> 8;
    return (place ^ (place >> 31)) < INSIDE[layer]! ? (place + 0.5) * STEP[layer]! : this.#outside(draw);
  }

  /** Equivalent to repeated calls of {@link normal}, with the generator's state in local variables, because a simulation would spend most of its time here. */
  fill(target: Float64Array): Float64Array {
    const { state } = this.#generator;
    // One by one: taken out of an array together they cost as much as fifteen normals.
    let a = state[0]!;
    let b = state[1]!;
    let c = state[2]!;
    let d = state[3]!;
    for (let i = 0; i < target.length; i++) {
      const sum = (a + d) | 0;
      const draw = (((sum << 7) | (sum >>> 25)) + a) | 0;
      const shifted = b << 9;
      c ^= a;
      d ^= b;
      b ^= c;
      a ^= d;
      c ^= shifted;
      d = (d << 11) | (d >>> 21);
      const layer = draw & 255;
      const place = draw >> 8;
      // Without a branch, because the sign of a place is unpredictable: −1 − place if it is negative.
      if ((place ^ (place >> 31)) < INSIDE[layer]!) target[i] = (place + 0.5) * STEP[layer]!;
      else {
        keep(state, a, b, c, d);
        target[i] = this.#outside(draw);
        a = state[0]!;
        b = state[1]!;
        c = state[2]!;
        d = state[3]!;
      }
    }
    keep(state, a, b, c, d);
    return target;
  }

  /** Handles the one draw in seventy whose place is not certain to be inside its layer's rectangle: 24 bits, one of them the sign, give the place, and 8 bits the layer. */
  #outside(first: number): number {
    for (let draw = first; ; draw = this.#generator.next()) {
      const layer = draw & 255;
      const x = ((draw >> 8) + 0.5) * STEP[layer]!;
      const size = Math.abs(x);
      if (size < EDGE[layer + 1]!) return x;
      if (layer === 0) return x > 0 ? this.#tail() : -this.#tail();
      const low = HEIGHT[layer]!;
      if (low + this.uniform() * (HEIGHT[layer + 1]! - low) < Math.exp((-x * x) / 2)) return x;
    }
  }

  /** Draws a normal beyond r exactly, by an exponential proposal (G. Marsaglia, Technometrics 6, 1964). */
  #tail(): number {
    const r = EDGE[1]!;
    for (;;) {
      const x = -Math.log1p(-this.uniform()) / r;
      const y = -Math.log1p(-this.uniform());
      if (2 * y > x * x) return r + x;
    }
  }

  integer(n: number): number {
    if (!(Number.isInteger(n) && n >= 1 && n <= 2 ** 53))
      refuse("the number of choices is out of range", "it must be whole, 1 … 2⁵³", n, "integer");
    const limit = 2 ** 53 - (2 ** 53 % n);
    for (;;) {
      const draw = this.uniform() * 2 ** 53;
      if (draw < limit) return draw % n;
    }
  }

  fillUniform(target: Float64Array): Float64Array {
    for (let i = 0; i < target.length; i++) target[i] = this.uniform();
    return target;
  }
}

/** Places of a layer on each side of zero: 24 bits with their sign. */
const PLACES = 2 ** 23;
const EDGE = new Float64Array(LAYERS + 1);
const HEIGHT = new Float64Array(LAYERS + 1);
/** Width of a place, by layer. */
const STEP = new Float64Array(LAYERS);
/** Number of places of a layer that certainly lie inside the rectangle of the layer above. */
const INSIDE = new Int32Array(LAYERS);

/** Fills the tables before the first draw rather than on import: building them takes longer than loading this file. */
function needTables(): void {
  if (HEIGHT[LAYERS] === 1) return;
  const { edge, height } = buildZiggurat();
  EDGE.set(edge);
  HEIGHT.set(height);
  for (let layer = 0; layer < LAYERS; layer++) {
    STEP[layer] = EDGE[layer]! / PLACES;
    INSIDE[layer] = Math.floor((EDGE[layer + 1]! / EDGE[layer]!) * PLACES);
  }
}
