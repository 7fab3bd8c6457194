// What other features use of this one.
export {
  placeText,
  readingsText,
  sampleText,
  separatingText,
  signReadingsText,
} from "./reading-text.js";
