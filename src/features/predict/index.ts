// What other features use of this one.
export { forecastCharts } from "./forecast-report.js";
