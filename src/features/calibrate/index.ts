// What other features use of this one.
export { CALIBRATION_PICTURES } from "./calibration-charts.js";
export { calibrateFolder, today } from "./calibration-report.js";
export { cardIn } from "./card/card-text.js";
