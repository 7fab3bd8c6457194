/** Exact fractions on big integers: a second route to every number, sharing no code with the parsers. */
export interface Rational {
  readonly n: bigint;
  readonly d: bigint;
}

/** `"2413/40"`, `"-3/25"` or `"60"` as a fraction. */
export function rational(text: string): Rational {
  const [n, d = "1"] = text.split("/");
  return { n: BigInt(n!), d: BigInt(d) };
}

const bits = (value: bigint): number => value.toString(2).length;

/** The double nearest to n/d, ties to even: 53 bits by long division, then a power of two. */
export function nearestDouble({ n, d }: Rational): number {
  if (n === 0n) return 0;
  const size = n < 0n ? -n : n;
  let shift = 53 - (bits(size) - bits(d));
  let top = shift >= 0 ? size << BigInt(shift) : size;
  let bottom = shift >= 0 ? d : d << BigInt(-shift);
  if (bits(top / bottom) > 53) {
    if (top % 2n === 0n && shift > 0) top /= 2n;
    else bottom *= 2n;
    shift -= 1;
  }
  let mantissa = top / bottom;
  const twice = 2n * (top % bottom);
  if (twice > bottom || (twice === bottom && mantissa % 2n === 1n)) mantissa += 1n;
  return (n < 0n ? -1 : 1) * Number(mantissa) * 2 ** -shift;
}

const PLACES = 120n;
const SCALE = 10n ** PLACES;

function arctanOfInverse(x: bigint): bigint {
  let sum = 0n;
  let power = SCALE / x;
  for (let k = 1n; power !== 0n; k += 2n) {
    sum += k % 4n === 1n ? power / k : -(power / k);
    power /= x * x;
  }
  return sum;
}

/** π to better than 115 places: Machin (1706), π/4 = 4 arctan(1/5) − arctan(1/239). */
const PI: Rational = { n: 4n * (4n * arctanOfInverse(5n) - arctanOfInverse(239n)), d: SCALE };

/** The double nearest to so many degrees, in radians. */
export const radiansOf = ({ n, d }: Rational): number => nearestDouble({ n: n * PI.n, d: d * 180n * PI.d });
