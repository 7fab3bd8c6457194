import { availableParallelism } from "node:os";
import { defineConfig } from "vitest/config";
import { filesWithLonger } from "./test/tools/longer-runs.js";

/** Has modules of its own in place of the project's, so it shares none with other files. */
const APART = "test/features/evidence/every-command.long.test.ts";

/** What takes long: killed and held-back processes, whole notebooks, many seeds, many patterns. `npm run test:long`. */
export default defineConfig({
  test: {
    env: { SUKIMA_LONGER_TESTS: "1" },
    globalSetup: ["test/tools/temporary-folder.ts"],
    testTimeout: 600_000,
    hookTimeout: 600_000,
    maxWorkers: availableParallelism(),
    projects: [
      { extends: true, test: { name: "apart", include: [APART], isolate: true } },
      {
        extends: true,
        test: {
          name: "together",
          include: ["test/**/*.long.test.ts", ...filesWithLonger().map((name) => `test/${name}`)],
          exclude: [APART],
          // Files of one worker share what they import.
          isolate: false,
        },
      },
    ],
  },
});
