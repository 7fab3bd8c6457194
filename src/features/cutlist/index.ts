// What other features use of this one.
export { type GridPart, gridParts, lapDepth } from "./cut-list.js";
export { lapDepthText } from "./cut-list-contents.js";
