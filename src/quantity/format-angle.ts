import { Exact } from "./exact.js";
import { checkDigits, fixedText, fromRadians, MINUS, printable, roundAt } from "./printing.js";
import { refusal } from "./refusal.js";

/** Decimals of the last part printed, where the caller names none. */
export const DEFAULT_ANGLE_DIGITS = { decimal: 2, minutes: 0, seconds: 0 } as const;

/** How {@link formatAngle} prints. */
export interface FormatAngleOptions {
  /** `decimal` degrees, degrees and `minutes`, or degrees, minutes and `seconds`; default `decimal`. */
  readonly style?: keyof typeof DEFAULT_ANGLE_DIGITS;
  /** Decimals of the last part, 0 to 15; default 2 for degrees, 0 for minutes and seconds. */
  readonly digits?: number;
}

/**
 * An angle for people: `22.50°`, `22° 30′`, `22° 30′ 15″`. The whole is rounded first (ties away from
 * zero), so no part reaches 60; a minus sign counts for the whole, and what rounds to zero has none.
 *
 * @param rad angle, radians
 * @throws {QuantityError} if `rad` is not finite or an option is not one of those above
 * @example formatAngle(Math.PI / 8, { style: "minutes" }) // "22° 30′"
 */
export function formatAngle(rad: number, options: FormatAngleOptions = {}): string {
  const { style = "decimal" } = options;
  const angle = printable(rad, "angle");
  if (!Object.hasOwn(DEFAULT_ANGLE_DIGITS, style))
    throw refusal(
      "style option",
      style,
      "minutes",
    )("no angle is printed so", "it must be decimal, minutes or seconds");
  const { digits = DEFAULT_ANGLE_DIGITS[style] } = options;
  checkDigits(digits);
  if (style === "decimal") return `${fixedText(fromRadians(angle, 1), digits)}°`;

  const perDegree = style === "minutes" ? 60 : 3600;
  const total = roundAt(fromRadians(angle, perDegree), digits);
  const size = total.abs();
  const degrees = size.div(perDegree).trunc();
  const rest = size.minus(degrees.times(perDegree));
  const sign = total.isNeg() && !total.isZero() ? MINUS : "";
  if (style === "minutes") return `${sign}${degrees.toFixed()}° ${fixedText(rest, digits)}′`;
  const minutes = rest.div(60).trunc();
  const seconds = fixedText(rest.minus(new Exact(60).times(minutes)), digits);
  return `${sign}${degrees.toFixed()}° ${minutes.toFixed()}′ ${seconds}″`;
}
