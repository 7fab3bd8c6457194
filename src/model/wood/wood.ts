import {
  dimensionalChange,
  dimensionalChangeByShrinkage,
  LINEAR_MOISTURE_RANGE,
  SHRINKAGE_STARTS_AT,
  shrinkageFromCoefficient,
} from "./dimensional-change.js";
import type { Species } from "./species.js";

/** How a wood moves across the grain: everything that the seasonal computation needs. */
export interface Wood {
  readonly name: string;
  /** Dimensional change coefficients, per per cent of moisture, valid for 6–14 %: square to the growth rings and along them. */
  readonly radial: number;
  readonly tangential: number;
  /** Moisture content, per cent, below which it shrinks. */
  readonly startsAt: number;
  /** Source of its figures, as text. */
  readonly origin: string;
}

/**
 * A species of the table as a wood.
 *
 * @example
 * woodOf(speciesNamed("Sitka spruce")).tangential > woodOf(speciesNamed("Sitka spruce")).radial // true
 */
export function woodOf({ name, radial, tangential, startsAt, note }: Species): Wood {
  const marks = new Set([radial.mark, tangential.mark]);
  return {
    name,
    radial: radial.coefficient,
    tangential: tangential.coefficient,
    startsAt,
    origin: `Wood Handbook, FPL-GTR-190, 2010: ${[...marks, ...(note === undefined ? [] : [note])].join("; ")}`,
  };
}

/**
 * A wood whose figures the job states.
 *
 * `radial` and `tangential` are dimensional change coefficients, per per cent of moisture; `startsAt` is the moisture content, per cent, below which it shrinks.
 *
 * @example
 * ownWood("my stock", { radial: 0.0015, tangential: 0.0028 }).name // "my stock"
 */
export const ownWood = (
  name: string,
  {
    radial,
    tangential,
    startsAt = SHRINKAGE_STARTS_AT,
  }: Pick<Wood, "radial" | "tangential"> & { startsAt?: number },
): Wood => ({ name, radial, tangential, startsAt, origin: "the job's own figures" });

/** How much a strip's thickness grows, and by which equation. */
export interface StripMovement {
  /** Growth of its thickness as a share of it: + grows, − shrinks. */
  readonly strain: number;
  /** `linear`: both moistures are within 6–14 %, eq. 13-2. `shrinkage`: one is outside, eq. 13-3, which is less certain. */
  readonly rule: "linear" | "shrinkage";
}

/**
 * How much a strip's thickness grows from one moisture content to another when it runs at an angle to the growth rings:
 * radial movement · cos² + tangential movement · sin² of the angle, the rotation rule of a small strain.
 *
 * @param rings rad: 0 for a thickness square to the rings (it moves radially) … π/2 for one along them (tangentially)
 * @param from,to moisture contents, per cent, 0 … `wood.startsAt`
 * @throws RangeError under the same conditions as `dimensionalChangeByShrinkage`
 * @example stripMovement(woodOf(speciesNamed("Sitka spruce")), 0, 9, 11).strain // 0.00296: 2 % of moisture, radially
 */
export function stripMovement(wood: Wood, rings: number, from: number, to: number): StripMovement {
  const [lowest, highest] = LINEAR_MOISTURE_RANGE;
  const linear = [from, to].every((moisture) => moisture >= lowest && moisture <= highest);
  const along = (coefficient: number): number =>
    linear
      ? dimensionalChange(1, coefficient, from, to)
      : dimensionalChangeByShrinkage(
          1,
          shrinkageFromCoefficient(coefficient, wood.startsAt),
          from,
          to,
          wood.startsAt,
        );
  return {
    strain: along(wood.radial) * Math.cos(rings) ** 2 + along(wood.tangential) * Math.sin(rings) ** 2,
    rule: linear ? "linear" : "shrinkage",
  };
}
