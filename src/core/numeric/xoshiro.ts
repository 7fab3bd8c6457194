/** The jump's polynomial: x^(2^64) modulo the characteristic polynomial of a step, lowest powers first. The tests compute it again. */
const JUMP = [0x8764000b, 0xf542d2d3, 0x6fa035c3, 0x77f2db5b] as const;

/**
 * xoshiro128++ (D. Blackman and S. Vigna, ACM Trans. Math. Softw. 47(4), 2021): 32 random bits a step from 128 bits of state, period 2¹²⁸ − 1; all bits are of good quality.
 * The state is public so that a loop can keep it in local variables.
 */
export class Xoshiro128 {
  /** Four words of 32 bits, not all zero. */
  readonly state: Int32Array;

  /** @param state four words, which are copied. */
  constructor(state: ArrayLike<number>) {
    this.state = Int32Array.from(state);
  }

  /** The next 32 bits, as a whole number −2³¹ … 2³¹ − 1. */
  next(): number {
    const { state } = this;
    const a = state[0]!;
    const b = state[1]!;
    const c = state[2]! ^ a;
    const d = state[3]! ^ b;
    const sum = (a + state[3]!) | 0;
    state[0] = a ^ d;
    state[1] = b ^ c;
    state[2] = c ^ (b << 9);
    state[3] = (d << 11) | (d >>> 21);
    return (((sum << 7) | (sum >>> 25)) + a) | 0;
  }

  /** Advances the state by 2⁶⁴ steps. */
  jump(): void {
    const { state } = this;
    const to = new Int32Array(4);
    for (const word of JUMP) {
      for (let bit = 0; bit < 32; bit++) {
        if ((word >>> bit) & 1) for (let k = 0; k < 4; k++) to[k]! ^= state[k]!;
        this.next();
      }
    }
    state.set(to);
  }

  clone(): Xoshiro128 {
    return new Xoshiro128(this.state);
  }
}
