// What other features use of this one.
export { batchWatches } from "./batch-command.js";
export { loadBatchTable } from "./batch-table.js";
export type { NamedWatch } from "./batch-text.js";
