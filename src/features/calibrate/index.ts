// What other features use of this one.

export { calibrateFolder, today } from "./calibrate-command.js";
export {
  cellPicture,
  estimatesPicture,
  forecastPicture,
  readingsPicture,
  residualsPicture,
} from "./calibration-charts.js";
export { cardIn } from "./card/card-text.js";
