import { refuse } from "../numeric/refuse.js";

/**
 * Numerical tolerance δ of a standard uncertainty when `digits` of its significant digits are meaningful
 * (JCGM 101:2008, 7.9.2): write u = c·10ˡ with c a whole number of that many digits; δ = ½·10ˡ.
 * @throws RangeError when u is not positive and finite or digits not 1, 2, 3 or 4
 */
export function numericalTolerance(standardUncertainty: number, digits: number): number {
  if (!(standardUncertainty > 0 && standardUncertainty < Infinity))
    refuse(
      "this uncertainty has no significant digits",
      "it must be positive",
      standardUncertainty,
      "numericalTolerance",
    );
  if (!(Number.isInteger(digits) && digits >= 1 && digits <= 4))
    refuse("the number of significant digits is out of range", "1 to 4", digits, "numericalTolerance");
  const exponent = Number(standardUncertainty.toExponential(digits - 1).split("e")[1]);
  return 0.5 * 10 ** (exponent - digits + 1);
}
