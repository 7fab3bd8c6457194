// What other features use of this one.
export { withLengths } from "./predict-command.js";
