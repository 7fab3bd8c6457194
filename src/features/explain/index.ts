// What other features use of this one.

export { explainCells } from "./explain-cells.js";
export { verdictDrawings } from "./explanation-display.js";
export { patternBook } from "./pattern-book.js";
