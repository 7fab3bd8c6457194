import { refuse } from "./refuse.js";

const TINY = 1e-300;
const TOLERANCE = 1e-16;
const MOST_TERMS = 200_000;

/**
 * b₀ + a₁/(b₁ + a₂/(b₂ + …)) by the modified Lentz method (I. J. Thompson and A. R. Barnett, J. Comput. Phys. 64, 1986).
 * @throws RangeError when it has not settled after 200 000 terms
 */
export function continuedFraction(b0: number, a: (k: number) => number, b: (k: number) => number): number {
  let f = b0 || TINY;
  let c = f;
  let d = 0;
  for (let k = 1; k <= MOST_TERMS; k++) {
    const ak = a(k);
    const bk = b(k);
    d = 1 / (bk + ak * d || TINY);
    c = bk + ak / c || TINY;
    f *= c * d;
    if (Math.abs(c * d - 1) <= TOLERANCE) return f;
  }
  return refuse("a continued fraction did not settle", `${MOST_TERMS} terms at most`, f, "continuedFraction");
}
