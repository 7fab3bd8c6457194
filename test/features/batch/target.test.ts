import { expect, it } from "vitest";
import { batchWatches } from "../../../src/features/batch/batch-report.js";
import type { BatchTable } from "../../../src/features/batch/batch-table.js";

const table = {
  file: "batch.csv",
  what: "length",
  units: "in",
  rows: [24.58, 24.61, 24.6].map((value, i) => ({ id: String(i + 1), piece: "key", value })),
} as unknown as BatchTable;

it("a target that no piece is near is refused, with the unit that it looks like", () => {
  expect(() => batchWatches(table, 24.6 * 25.4)).toThrow(
    /^--target is 24\.6.* in, and the pieces of key are between .* long; it looks like mm, so write --target "24\.6 mm"/,
  );
  expect(() => batchWatches(table, 8 * 25.4)).toThrow(
    /^--target is 8.* in, and the pieces of key are between/,
  );
  expect(batchWatches(table, 24.6)).toHaveLength(1);
});
