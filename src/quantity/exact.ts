import { Decimal } from "decimal.js";

/**
 * This folder's own decimal arithmetic; the shared `Decimal` is never reconfigured.
 * A text of at most 80 characters with a two-figure power of ten spans fewer than 200 digits, so with
 * 250 every sum and product here is exact and every quotient is far closer than half a double's last bit.
 * Ties round away from zero.
 */
export const Exact = Decimal.clone({ defaults: true, precision: 250, rounding: Decimal.ROUND_HALF_UP });

/** π to the working precision. */
export const PI = Exact.acos(-1);

/** An exact fraction, n/d with d > 0: a third of an inch stays a third until it is handed out. */
export interface Ratio {
  readonly n: Decimal;
  readonly d: Decimal;
}

/** The fraction n/d. */
export const ratio = (n: Decimal.Value, d: Decimal.Value = 1): Ratio => ({
  n: new Exact(n),
  d: new Exact(d),
});

/** a + b, exactly. */
export const add = (a: Ratio, b: Ratio): Ratio => ({
  n: a.n.times(b.d).plus(b.n.times(a.d)),
  d: a.d.times(b.d),
});

/** a · b, exactly. */
export const multiply = (a: Ratio, b: Ratio): Ratio => ({ n: a.n.times(b.n), d: a.d.times(b.d) });

/** The fraction as one decimal number, rounded at the working precision. */
export const quotient = (a: Ratio): Decimal => a.n.div(a.d);

/** The nearest double, never −0. V8 reads every digit of a decimal text, so this rounds correctly. */
export function nearestDouble(value: Decimal): number {
  return value.isZero() ? 0 : value.toNumber();
}
