/** One part of a combined uncertainty: |c·u| in the unit of the result (or any common unit), and its degrees of freedom. */
export interface UncertaintyPart {
  readonly standardUncertainty: number;
  readonly degreesOfFreedom: number;
}

/**
 * Effective degrees of freedom of a root sum of squares, ν = u⁴/Σ(uᵢ⁴/νᵢ) (JCGM 100:2008, G.2b); Infinity when no
 * part that matters has finite ones. Holds for independent parts only.
 */
export function welchSatterthwaite(parts: readonly UncertaintyPart[]): number {
  const largest = Math.max(...parts.map((part) => part.standardUncertainty), 0);
  if (largest === 0) return Infinity;
  let square = 0;
  let fourth = 0;
  for (const { standardUncertainty, degreesOfFreedom } of parts) {
    const relative = (standardUncertainty / largest) ** 2;
    square += relative;
    fourth += relative ** 2 / degreesOfFreedom;
  }
  return square ** 2 / fourth;
}

/**
 * Degrees of freedom of a standard uncertainty itself known only within the share `relativeUncertainty`:
 * ν = ½·(Δu/u)⁻² (JCGM 100, G.3): 25 % → 8.
 */
export function degreesOfFreedomFromReliability(relativeUncertainty: number): number {
  return 0.5 / relativeUncertainty ** 2;
}
