// What other features use of this one.
export { drawSeason } from "./season-charts.js";
export { predictSeason } from "./season-year.js";
