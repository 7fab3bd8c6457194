/** Moisture contents, in per cent, between which eq. 13-2 is good. */
export const LINEAR_MOISTURE_RANGE: readonly [number, number] = [6, 14];

/**
 * How much a piece of wood grows (+) or shrinks (−) across the grain, in the unit of `size`:
 * ΔD = D·C·(to − from), Wood Handbook, FPL-GTR-190, 2010, eq. 13-2.
 *
 * @param size dimension at moisture content `from`
 * @param coefficient C_R or C_T by the way the rings run, per per cent of moisture
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
