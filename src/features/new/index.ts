// What other features use of this one.
export { STARTER_SIZES } from "./example-readings.js";
export { starterJob } from "./starter-job.js";
