/** Moisture content, in per cent, at which most species begin to shrink. */
export const SHRINKAGE_STARTS_AT = 30;

/**
 * How much a piece of wood grows (+) or shrinks (−) across the grain, in the unit of `size`, from its shrinkage:
 * ΔD = D·(to − from)/(100·M₀/S − M₀ + from), Wood Handbook, FPL-GTR-190, 2010, eq. 13-3 with M₀ = 30 %.
 *
 * @param size dimension at moisture content `from`
 * @param shrinkage S, per cent of the green size from green to ovendry, in the direction meant
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
