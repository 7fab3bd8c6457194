import {
  dimensionalChange,
  dimensionalChangeByShrinkage,
  LINEAR_MOISTURE_RANGE,
  SHRINKAGE_STARTS_AT,
  shrinkageFromCoefficient,
} from "./dimensional-change.js";
import type { Species } from "./species.js";

/** How a wood moves across the grain: all that the season of a screen needs of it. */
export interface Wood {
  readonly name: string;
  /** Dimensional change coefficients, per per cent of moisture, good for 6–14 %: square to the growth rings, and along them. */
  readonly radial: number;
  readonly tangential: number;
  /** Moisture content, per cent, below which it shrinks. */
  readonly startsAt: number;
  /** Where its figures come from, in words. */
  readonly origin: string;
}

/**
 * A species of the table as a wood.
 *
 * @example
 * woodOf(speciesNamed("Sitka spruce")).tangential > woodOf(speciesNamed("Sitka spruce")).radial // true
 */
export function woodOf({ name, radial, tangential, startsAt }: Species): Wood {
  const marks = new Set([radial.mark, tangential.mark]);
  return {
    ...{ name, radial: radial.coefficient, tangential: tangential.coefficient, startsAt },
    origin: `Wood Handbook, FPL-GTR-190, 2010: ${[...marks].join("; ")}`,
  };
}

/**
 * A wood that the job itself states.
 *
 * Its figures: `radial` and `tangential`: dimensional change coefficients, per per cent of moisture; `startsAt`: the moisture content, per cent, below which it shrinks.
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

/** How much a strip grows across, and by which rule. */
export interface StripMovement {
  /** Growth of its thickness as a share of it: + grows, − shrinks. */
  readonly strain: number;
  /** `linear`: both moistures within 6–14 %, eq. 13-2; `shrinkage`: one lies outside, eq. 13-3, and is less sure. */
  readonly rule: "linear" | "shrinkage";
}

/**
 * How much a strip's thickness grows from one moisture content to another when it runs at an angle to the growth rings:
 * radial movement · cos² + tangential movement · sin² of the angle, as a small strain turns with its axes.
 *
 * @param rings rad, 0 … π/2: from 0, the thickness square to the rings (it moves radially), to π/2, along them (tangentially)
 * @param from,to moisture contents, per cent, 0 … `wood.startsAt`
 * @throws RangeError as `dimensionalChangeByShrinkage`
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
