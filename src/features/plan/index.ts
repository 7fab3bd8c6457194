// What other features use of this one.

export { PLAN_PICTURES } from "./plan-report.js";
export {
  placeText,
  readingsText,
  sampleText,
  separatingText,
  signReadingsText,
} from "./reading-text.js";
export { aboutPieces, declaring, piecesText, readingName, readTexts, tellingText } from "./reading-worth.js";
