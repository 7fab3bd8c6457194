// What other features use of this one.
export { GAUGE_PICTURES } from "./gauge-report.js";
