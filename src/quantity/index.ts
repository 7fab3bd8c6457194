export { type FormatAngleOptions, formatAngle } from "./format-angle.js";
export { type FormatLengthOptions, formatLength } from "./format-length.js";
export {
  type FormatWithUncertaintyOptions,
  formatWithUncertainty,
  type ResultText,
  type ResultUnit,
} from "./format-with-uncertainty.js";
export {
  type FractionDenominator,
  type InchFraction,
  type NearestFractionOptions,
  nearestFraction,
} from "./nearest-fraction.js";
export { type ParseAngleOptions, parseAngle } from "./parse-angle.js";
export { type ParseLengthOptions, parseLength } from "./parse-length.js";
export { QuantityError, type QuantityFault } from "./quantity-error.js";
export {
  type RoundedPair,
  type RoundToUncertaintyOptions,
  roundToUncertainty,
} from "./round-to-uncertainty.js";
export { type AngleUnit, type LengthUnit, MAX_ANGLE_DEG, MAX_LENGTH_MM, type SignRule } from "./units.js";
