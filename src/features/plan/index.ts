// What other features use of this one.
export { placeText, readingsText, sampleText, separatingText, settlingText } from "./reading-text.js";
