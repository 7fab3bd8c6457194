// What other features use of this one.

export { calibrateFolder, today } from "./calibrate-command.js";
export {
  drawCalibratedCell,
  drawEstimates,
  drawForecast,
  drawReadings,
  drawResiduals,
} from "./calibration-charts.js";
export { cardIn } from "./card/card-text.js";
