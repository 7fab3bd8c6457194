// What other features use of this one.
export { drawGauge, gaugeStudies } from "./gauge-report.js";
export type { GaugeStudy } from "./gauge-study.js";
