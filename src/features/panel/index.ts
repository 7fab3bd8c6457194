// What other features use of this one.
export { panelCharts } from "./panel-report.js";
export { predictPanel } from "./predict-panel.js";
