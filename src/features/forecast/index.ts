// What other features use of this one.
export { outlookCharts } from "./outlook-charts.js";
