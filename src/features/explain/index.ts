// What other features use of this one.
export { patternBook } from "./cause-book.js";
export { explainCells } from "./explain-cells.js";
export { verdictDrawings } from "./explanation-charts.js";
