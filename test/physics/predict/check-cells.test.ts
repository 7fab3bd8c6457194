import { describe, expect, it } from "vitest";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import { DEGREE, jointGaps } from "../../checks/validate/cells.js";
import { published } from "../../checks/validate/check.js";
import { cellOf, SECOND_IMPLEMENTATION } from "../../checks/validate/second-implementation.js";

/* That every gap agrees to 1e-9 mm in both orders is one of the outside checks, src/validate/second-implementation.ts. */
describe.each(SECOND_IMPLEMENTATION)("the cell %s of another implementation", (name) => {
  const file = published<
    Parameters<typeof cellOf>[0] & {
      pressRatio: number;
      gaps: { joint: string; at: string; exact: number }[];
    }
  >(name);
  const { cell, errors } = cellOf(file);

  it("has every joint's two ends, and our press ratio", () => {
    const places = file.gaps.map(({ joint, at }) => `${joint} ${at}`);
    expect(places.sort()).toEqual([...jointGaps(cell, errors).keys()].sort());
    expect(file.pressRatio).toBe(PRESS_RATIO);
  });

  it("would notice a hundredth of a degree in one cut", () => {
    const off = Float64Array.from(errors);
    off[errorLayout(cell).indexOf("angle", "hinge-1", "start-left")]! += 0.01 * DEGREE;
    const ours = jointGaps(cell, off);
    const differences = file.gaps.map(({ joint, at, exact }) =>
      Math.abs(ours.get(`${joint} ${at}`)! - exact),
    );
    expect(Math.max(...differences)).toBeGreaterThan(1e-4);
  });
});
