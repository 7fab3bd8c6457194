import { xoroshiro128plusFromState } from "pure-rand/generator/xoroshiro128plus";
import type { JumpableRandomGenerator } from "pure-rand/types/JumpableRandomGenerator";
import { refuse } from "../errors.js";
import { normalSurvival, SQRT_TWO_PI } from "./normal.js";

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

/**
 * A stream from `seed` (whole, 0 … 2⁵³ − 1) and `substream` (whole, 0 … 1 000 000, default 0).
 *
 * Generator: xoroshiro128+ (D. Blackman and S. Vigna, ACM Trans. Math. Softw. 47(4), 2021) of pure-rand, period
 * 2¹²⁸ − 1, with its state filled from the seed by SplitMix64, so that neighbouring seeds give unrelated states. Sub-stream k
 * starts k·2⁶⁴ draws further on, so no two sub-streams of one seed overlap. pure-rand returns the lower 32 of the
 * 64 bits, whose lowest bit is linear; the last bits are never used where this could matter.
 * @throws RangeError for a seed or sub-stream outside its range
 * @example
 * createStream(1).uniform() // 0.9319
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

function start(seed: number): JumpableRandomGenerator {
  if (!(Number.isSafeInteger(seed) && seed >= 0))
    refuse("the seed is not usable", "it must be whole, 0 … 2⁵³ − 1", seed, "createStream");
  needTables();
  return xoroshiro128plusFromState(splitMix(seed));
}

/** Four 32-bit words of state from a seed: two outputs of SplitMix64 (never both zero). */
function splitMix(seed: number): number[] {
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
  return words;
}

class Stream implements RandomStream {
  readonly #generator: JumpableRandomGenerator;

  constructor(generator: JumpableRandomGenerator) {
    this.#generator = generator;
  }

  uniform(): number {
    const high = this.#generator.next() >>> 5;
    const low = this.#generator.next() >>> 6;
    return (high * 0x4000000 + low) * 2 ** -53;
  }

  /** Ziggurat: 8 bits choose the layer, one the sign, 52 others the place in it. */
  normal(): number {
    for (;;) {
      const first = this.#generator.next();
      const layer = first >>> 24;
      const place = (this.#generator.next() >>> 0) * 2 ** -32 + ((first >>> 3) & 0xfffff) * 2 ** -52;
      const x = place * EDGE[layer]!;
      if (x < EDGE[layer + 1]! || this.#keeps(layer, x)) return (first & 0x800000) === 0 ? x : -x;
      if (layer === 0) return (first & 0x800000) === 0 ? this.#tail() : -this.#tail();
    }
  }

  /** Wedge between a layer's rectangle and the curve: accepts a point with the right probability. */
  #keeps(layer: number, x: number): boolean {
    if (layer === 0) return false;
    const low = HEIGHT[layer]!;
    return low + this.uniform() * (HEIGHT[layer + 1]! - low) < Math.exp((-x * x) / 2);
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

  fill(target: Float64Array): Float64Array {
    for (let i = 0; i < target.length; i++) target[i] = this.normal();
    return target;
  }

  fillUniform(target: Float64Array): Float64Array {
    for (let i = 0; i < target.length; i++) target[i] = this.uniform();
    return target;
  }
}

export const LAYERS = 256;

/**
 * The layers of a ziggurat for the half normal f(x) = exp(−x²/2): `edge[i]` is the half-width of layer i, edge[1] = r
 * where the tail begins, edge[0] = v/f(r) the width a base layer of the common area v would have, edge[256] = 0;
 * `height[i]` = f(edge[i]). After G. Marsaglia and W. W. Tsang, J. Stat. Software 5(8), 2000.
 */
export interface Ziggurat {
  readonly edge: Float64Array;
  readonly height: Float64Array;
}

const f = (x: number): number => Math.exp((-x * x) / 2);
const areaFrom = (r: number): number => r * f(r) + SQRT_TWO_PI * normalSurvival(r);

/** Builds the layers: r is the root at which 255 layers of equal area just reach the top, found by bisection. */
export function buildZiggurat(): Ziggurat {
  let [low, high] = [3, 4];
  for (let step = 0; step < 60; step++) {
    const r = (low + high) / 2;
    if (topOf(stack(r), r) > 1) low = r;
    else high = r;
  }
  const edge = stack(high);
  edge[LAYERS] = 0;
  return { edge, height: edge.map((x, i) => (i === LAYERS ? 1 : f(x))) };
}

function stack(r: number): Float64Array {
  const edge = new Float64Array(LAYERS + 1);
  const area = areaFrom(r);
  edge[0] = area / f(r);
  edge[1] = r;
  for (let i = 2; i < LAYERS; i++) {
    const y = f(edge[i - 1]!) + area / edge[i - 1]!;
    edge[i] = y >= 1 ? 0 : Math.sqrt(-2 * Math.log(y));
  }
  return edge;
}

/** Height at which the last layer ends: 1 when the layers close exactly. */
function topOf(edge: Float64Array, r: number): number {
  const last = edge[LAYERS - 1]!;
  return last === 0 ? Infinity : f(last) + areaFrom(r) / last;
}

const EDGE = new Float64Array(LAYERS + 1);
const HEIGHT = new Float64Array(LAYERS + 1);

/** Fills the tables before the first draw rather than on import: building them takes longer than loading this file. */
function needTables(): void {
  if (HEIGHT[LAYERS] === 1) return;
  const { edge, height } = buildZiggurat();
  EDGE.set(edge);
  HEIGHT.set(height);
}
