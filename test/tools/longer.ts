import { it } from "vitest";

/** Whether this is the longer run, `npm run test:long`: its configuration sets the variable. */
const LONGER = process.env.SUKIMA_LONGER_TESTS === "1";

/** A test beside quick ones that takes seconds: `npm test` skips it, the longer run does it. */
export const longIt = it.runIf(LONGER);
