// What other features use of this one.
export { CAUSE_PICTURES } from "./explanation-display.js";
export { patternPictures } from "./pattern-book.js";
