// What other features use of this one.
export { gridShape } from "./grid-shape.js";
export { panelDrawing } from "./panel-drawing.js";
export { diagonalDifference } from "./panel-prediction.js";
export { PANEL_PICTURES } from "./panel-report.js";
