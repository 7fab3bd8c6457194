/** Moisture contents, in per cent, between which eq. 13-2 is valid. */
export const LINEAR_MOISTURE_RANGE: readonly [number, number] = [6, 14];

/**
 * How much a piece of wood grows (+) or shrinks (−) across the grain, in the unit of `size`:
 * ΔD = D·C·(to − from), Wood Handbook, FPL-GTR-190, 2010, eq. 13-2.
 *
 * @param size dimension at moisture content `from`
 * @param coefficient C_R or C_T, depending on the direction of the rings, per per cent of moisture
 * @param from,to moisture contents in per cent, both within {@link LINEAR_MOISTURE_RANGE}
 * @throws RangeError outside that range: use {@link dimensionalChangeByShrinkage}
 * @example dimensionalChange(232, 0.00245, 8, 11) // 1.705 mm
 */
export function dimensionalChange(size: number, coefficient: number, from: number, to: number): number {
  const [lowest, highest] = LINEAR_MOISTURE_RANGE;
  for (const moisture of [from, to])
    if (!(moisture >= lowest && moisture <= highest))
      throw new RangeError(
        `the moisture content is outside the range of the linear rule; ${lowest} to ${highest} %, else use the shrinkage; got ${moisture} %; in dimensionalChange`,
      );
  return size * coefficient * (to - from);
}

/** Moisture content, in per cent, at which most species begin to shrink. */
export const SHRINKAGE_STARTS_AT = 30;

/**
 * How much a piece of wood grows (+) or shrinks (−) across the grain, in the unit of `size`, from its shrinkage:
 * ΔD = D·(to − from)/(100·M₀/S − M₀ + from), Wood Handbook, FPL-GTR-190, 2010, eq. 13-3 with M₀ = 30 %.
 *
 * @param size dimension at moisture content `from`
 * @param shrinkage S, per cent of the green size from green to ovendry, in that direction
 * @param from,to moisture contents in per cent, 0 … `startsAt`
 * @param startsAt M₀ in per cent: 30, for a few species 22
 * @throws RangeError for moisture above `startsAt`, where wood no longer moves, or a shrinkage not between 0 and 100
 */
export function dimensionalChangeByShrinkage(
  size: number,
  shrinkage: number,
  from: number,
  to: number,
  startsAt = SHRINKAGE_STARTS_AT,
): number {
  if (!(shrinkage > 0 && shrinkage < 100))
    throw new RangeError(
      `the shrinkage is out of range; it is a per cent, above 0 and below 100; got ${shrinkage}; in dimensionalChangeByShrinkage`,
    );
  for (const moisture of [from, to])
    if (!(moisture >= 0 && moisture <= startsAt))
      throw new RangeError(
        `the moisture content is out of range; 0 to ${startsAt} %, above which wood does not move; got ${moisture} %; in dimensionalChangeByShrinkage`,
      );
  return (size * (to - from)) / ((100 * startsAt) / shrinkage - startsAt + from);
}

/** Moisture content, in per cent, at which the handbook computes its coefficients from shrinkage. */
const FORMED_AT = 10;

/**
 * Dimensional change coefficient, per per cent of moisture, from the shrinkage S in per cent: eq. 13-3 of the Wood
 * Handbook at 10 % moisture. It reproduces table 13-5 from table 4-3 to all five decimals in 30 of the 34 rows that are in both; green
 * ash, sweet birch and cedar elm have the value of a related species there, and sycamore differs by 1e-5.
 * @throws RangeError under the same conditions as {@link dimensionalChangeByShrinkage}
 * @example coefficientFromShrinkage(7.1) // 0.00248, black cherry, tangential
 */
export function coefficientFromShrinkage(shrinkage: number, startsAt = SHRINKAGE_STARTS_AT): number {
  return dimensionalChangeByShrinkage(1, shrinkage, FORMED_AT, FORMED_AT + 1, startsAt);
}

/**
 * Shrinkage from green to ovendry, per cent of the green size, for a dimensional change coefficient C per per cent of moisture:
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
