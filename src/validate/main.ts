import { runValidation } from "./run-validation.js";

process.exitCode = await runValidation(process.argv.slice(2));
