import { SHRINKAGE_STARTS_AT } from "./dimensional-change-by-shrinkage.js";

/** Moisture content, in per cent, at which the handbook's coefficients are formed from shrinkage. */
const FORMED_AT = 10;

/**
 * Shrinkage from green to ovendry, per cent of the green size, that goes with a dimensional change coefficient C per per cent of moisture:
 * the inverse of `coefficientFromShrinkage`, S = 100·M₀/(1/C + M₀ − 10).
 *
 * @throws RangeError for a coefficient that is not above zero
 * @example shrinkageFromCoefficient(0.00248) // 7.09 %, black cherry, tangential (7.1 in the table)
 */
export function shrinkageFromCoefficient(coefficient: number, startsAt = SHRINKAGE_STARTS_AT): number {
  if (!(coefficient > 0 && Number.isFinite(coefficient)))
    throw new RangeError(
      `the coefficient is out of range; it is above 0; got ${coefficient}; in shrinkageFromCoefficient`,
    );
  return (100 * startsAt) / (1 / coefficient + startsAt - FORMED_AT);
}
