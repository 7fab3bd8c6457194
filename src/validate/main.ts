import { runValidation } from "./run-validation.js";

process.exitCode = runValidation(process.argv.slice(2));
