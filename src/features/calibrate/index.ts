// What other features use of this one.
export { CALIBRATION_PICTURES } from "./calibration-charts.js";
export { calibrateFolder, printedCalibration, readingsToTake, today } from "./calibration-report.js";
export { nextRoundText } from "./calibration-text.js";
export { cardSheet } from "./card/card-sheet.js";
export { cardIn } from "./card/card-text.js";
export { type SetUpCard, setUpCard } from "./card/set-up-card.js";
export { drawingStyle, sheetHtml } from "./card/sheet-html.js";
