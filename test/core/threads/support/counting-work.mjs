import { UserError } from "../../../../dist-checks/src/core/errors.js";

/** Work of a pool for its tests: squares, and what may go wrong. */
export function countingWork({ failAt = -1, hangAt = -1 }) {
  let blocks = 0;
  return {
    work(block) {
      if (block === failAt)
        throw new UserError("seating", `Block ${block} cannot be done.`);
      while (block === hangAt) {
        // For ever.
      }
      blocks++;
      return block * block;
    },
    total: () => blocks,
  };
}
