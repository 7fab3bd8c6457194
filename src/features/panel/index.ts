// What other features use of this one.
export { panelCharts } from "./panel-charts.js";
export { predictPanel } from "./predict-panel.js";
