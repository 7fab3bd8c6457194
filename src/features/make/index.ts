// What other features use of this one.
export { makePictures } from "./pictures.js";
