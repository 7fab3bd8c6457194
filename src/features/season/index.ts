// What other features use of this one.
export { SEASON_PICTURES } from "./season-report.js";
