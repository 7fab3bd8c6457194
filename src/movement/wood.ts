import { SHRINKAGE_STARTS_AT } from "./dimensional-change-by-shrinkage.js";
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

/** A species of the table as a wood. */
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
 */
export const ownWood = (
  name: string,
  {
    radial,
    tangential,
    startsAt = SHRINKAGE_STARTS_AT,
  }: Pick<Wood, "radial" | "tangential"> & { startsAt?: number },
): Wood => ({ name, radial, tangential, startsAt, origin: "the job's own figures" });
