import type { RandomStream } from "../numeric/random-stream.js";
import { directionNumbers } from "./direction-numbers.js";

/** Points of a randomised low-discrepancy sequence, each coordinate in (0, 1). */
export interface PointSequence {
  /** Writes the next point. */
  next(point: Float64Array): void;
}

/**
 * A Sobol' sequence with a random linear scrambling of its digits and a random digital shift
 * (J. Matoušek, J. Complexity 14, 1998): each point is uniform on the cube, and the first 2ᵐ points of every scrambling
 * spread as evenly as those of the plain sequence. Independent streams give independent scramblings, whose scatter
 * measures the error. At most 2³² points; take powers of two.
 * @throws RangeError as `directionNumbers`
 */
export function scrambledSobol(dimensions: number, stream: RandomStream): PointSequence {
  const scrambled = directionNumbers(dimensions).map((v) => scramble(v, stream));
  const state = Uint32Array.from({ length: dimensions }, () => word(stream));
  let index = 0;
  return {
    next(point) {
      for (let d = 0; d < dimensions; d++) point[d] = (state[d]! + 0.5) * 2 ** -32;
      const changed = Math.clz32(~index & (index + 1)) ^ 31; // the bit that the Gray code of the next index flips
      for (let d = 0; d < dimensions; d++) state[d]! ^= scrambled[d]![changed]!;
      index++;
    },
  };
}

const word = (stream: RandomStream): number => stream.integer(2 ** 32);

/** Each digit of every direction number becomes itself plus a random combination of the digits before it. */
function scramble(v: Uint32Array, stream: RandomStream): Uint32Array {
  const rows = Uint32Array.from({ length: 32 }, (_, r) => {
    const before = r === 0 ? 0 : (word(stream) >>> (32 - r)) << (32 - r);
    return before | (1 << (31 - r));
  });
  return v.map((value) => {
    let out = 0;
    for (let r = 0; r < 32; r++) out |= parity(value & rows[r]!) << (31 - r);
    return out;
  });
}

function parity(bits: number): number {
  let b = bits ^ (bits >>> 16);
  b ^= b >>> 8;
  b ^= b >>> 4;
  return (0x6996 >>> (b & 15)) & 1;
}
