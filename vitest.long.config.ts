import { availableParallelism } from "node:os";
import { defineConfig } from "vitest/config";
import { filesWithLonger } from "./test/tools/longer-runs.js";

/** What takes long: killed and held-back processes, whole notebooks, many seeds, many patterns. `npm run test:long`. */
export default defineConfig({
  test: {
    include: ["test/**/*.long.test.ts", ...filesWithLonger().map((name) => `test/${name}`)],
    env: { SUKIMA_LONGER_TESTS: "1" },
    globalSetup: ["test/tools/temporary-folder.ts"],
    // Files of one worker share what they import.
    isolate: false,
    testTimeout: 600_000,
    hookTimeout: 600_000,
    maxWorkers: availableParallelism(),
  },
});
