// What other features use of this one.
export { drawSeason } from "./season-report.js";
export { predictSeason } from "./season-year.js";
