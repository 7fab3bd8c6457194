// What other features use of this one.

export type { NamedWatch } from "./batch-report.js";
export { batchWatches, drawBatch } from "./batch-report.js";
export { loadBatchTable } from "./batch-table.js";
