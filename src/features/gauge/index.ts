// What other features use of this one.
export { gaugeStudies } from "./gauge-command.js";
export type { GaugeStudy } from "./gauge-study.js";
