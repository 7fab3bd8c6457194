export {
  type FormatAngleOptions,
  type FormatLengthOptions,
  type FormatWithUncertaintyOptions,
  formatAngle,
  formatLength,
  formatWithUncertainty,
  type ResultText,
  type ResultUnit,
  type RoundedPair,
  type RoundToUncertaintyOptions,
  roundToUncertainty,
} from "./format.js";
export {
  type FractionDenominator,
  type InchFraction,
  type NearestFractionOptions,
  nearestFraction,
} from "./nearest-fraction.js";
export { type ParseAngleOptions, type ParseLengthOptions, parseAngle, parseLength } from "./parse.js";
export { QuantityError, type QuantityFault } from "./quantity-error.js";
export { type AngleUnit, type LengthUnit, MAX_ANGLE_DEG, MAX_LENGTH_MM, type SignRule } from "./units.js";
