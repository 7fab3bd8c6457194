export { type FormatAngleOptions, formatAngle } from "./formatAngle.js";
export { type FormatLengthOptions, formatLength } from "./formatLength.js";
export {
  type FormatWithUncertaintyOptions,
  formatWithUncertainty,
  type ResultText,
  type ResultUnit,
} from "./formatWithUncertainty.js";
export {
  type FractionDenominator,
  type InchFraction,
  type NearestFractionOptions,
  nearestFraction,
} from "./nearestFraction.js";
export { type ParseAngleOptions, parseAngle } from "./parseAngle.js";
export { type ParseLengthOptions, parseLength } from "./parseLength.js";
export { QuantityError, type QuantityFault } from "./QuantityError.js";
export {
  type RoundedPair,
  type RoundToUncertaintyOptions,
  roundToUncertainty,
} from "./roundToUncertainty.js";
export { type AngleUnit, type LengthUnit, MAX_ANGLE_DEG, MAX_LENGTH_MM, type SignRule } from "./units.js";
