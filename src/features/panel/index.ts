// What other features use of this one.
export { PANEL_PICTURES } from "./panel-report.js";
