// What other features use of this one.
export { BATCH_PICTURES } from "./batch-report.js";
