// What other features use of this one.
export { seasonPicture } from "./season-charts.js";
export { seasonYear } from "./season-year.js";
