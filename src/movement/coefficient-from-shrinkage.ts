import { dimensionalChangeByShrinkage, SHRINKAGE_STARTS_AT } from "./dimensional-change-by-shrinkage.js";

/** Moisture content, in per cent, at which the handbook's coefficients are formed from shrinkage. */
const FORMED_AT = 10;

/**
 * Dimensional change coefficient, per per cent of moisture, from the shrinkage S in per cent: eq. 13-3 of the Wood
 * Handbook at 10 % moisture. It gives table 13-5 from table 4-3 to all five decimals in 30 of 34 rows seen in both; green
 * ash, sweet birch and cedar elm carry the value of a sister species there, and sycamore differs by 1e-5.
 * @throws RangeError as {@link dimensionalChangeByShrinkage}
 * @example coefficientFromShrinkage(7.1) // 0.00248, black cherry, tangential
 */
export function coefficientFromShrinkage(shrinkage: number, startsAt = SHRINKAGE_STARTS_AT): number {
  return dimensionalChangeByShrinkage(1, shrinkage, FORMED_AT, FORMED_AT + 1, startsAt);
}
