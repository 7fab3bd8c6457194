import { rounded } from "../../core/text.js";
import type { Climate } from "../job/season.js";

/** Temperature scale of an equation's coefficients. */
export type TemperatureScale = "C" | "F";

/** c₀ + c₁T + c₂T². */
type Quadratic = readonly [number, number, number];

interface MoistureCoefficients {
  readonly w: Quadratic;
  readonly k: Quadratic;
  readonly k1: Quadratic;
  readonly k2: Quadratic;
}

/** Coefficients of eq. 4-5, Wood Handbook, FPL-GTR-190, 2010 (W. T. Simpson, FPL-RN-0268, 1998), read in the source. */
const COEFFICIENTS: Readonly<Record<TemperatureScale, MoistureCoefficients>> = {
  C: {
    w: [349, 1.29, 0.0135],
    k: [0.805, 0.000736, -0.00000273],
    k1: [6.27, -0.00938, -0.000303],
    k2: [1.91, 0.0407, -0.000293],
  },
  F: {
    w: [330, 0.452, 0.00415],
    k: [0.791, 0.000463, -0.000000844],
    k1: [6.34, 0.000775, -0.0000935],
    k2: [1.09, 0.0284, -0.0000904],
  },
};

/** Temperature range in which both sets of coefficients are checked against each other and against the handbook's table. */
export const MOISTURE_TEMPERATURE_RANGE: Readonly<Record<TemperatureScale, readonly [number, number]>> = {
  C: [-1.2, 49],
  F: [30, 120],
};

/**
 * Moisture content, in per cent of the dry mass, that wood eventually reaches in air of this humidity and temperature:
 * Wood Handbook, FPL-GTR-190, 2010, eq. 4-5. The °C and °F sets agree to 0.02 % over 30–120 °F.
 *
 * It is a mean over species and does not distinguish drying from wetting wood, which differ by 1–2 % (same chapter,
 * from memory).
 *
 * @param relativeHumidity 0 … 1 (not per cent)
 * @param temperature on `scale`, within {@link MOISTURE_TEMPERATURE_RANGE}
 * @throws RangeError outside those ranges
 * @example equilibriumMoistureContent(0.5, 20) // 9.27
 */
export function equilibriumMoistureContent(
  relativeHumidity: number,
  temperature: number,
  scale: TemperatureScale = "C",
): number {
  if (!(relativeHumidity >= 0 && relativeHumidity <= 1))
    throw new RangeError(
      `the relative humidity is out of range; it is a share, 0 to 1; got ${relativeHumidity}; in equilibriumMoistureContent`,
    );
  const [lowest, highest] = MOISTURE_TEMPERATURE_RANGE[scale];
  if (!(temperature >= lowest && temperature <= highest))
    throw new RangeError(
      `the temperature is out of range; ${lowest} to ${highest} °${scale}; got ${rounded(temperature)}; in equilibriumMoistureContent`,
    );
  const at = ([a, b, c]: Quadratic): number => a + temperature * (b + temperature * c);
  const { w, k, k1, k2 } = COEFFICIENTS[scale];
  const kh = at(k) * relativeHumidity;
  const one = at(k1) * kh;
  const two = one * at(k2) * kh;
  return (1800 / at(w)) * (kh / (1 - kh) + (one + 2 * two) / (1 + one + two));
}

/** Moisture content of wood in this state, per cent of its dry mass: as measured, or computed from the air by eq. 4-5 of the Wood Handbook. */
export const moistureOf = ({ air, moisture }: Climate): number =>
  moisture ?? equilibriumMoistureContent(air!.humidity, air!.temperature);
