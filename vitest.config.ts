import { availableParallelism } from "node:os";
import { configDefaults, defineConfig } from "vitest/config";

/** `npm test`: all but what its name leaves to a longer run (test/tools/longer-runs.ts). */
export default defineConfig({
  test: {
    include: ["test/**/*.test.ts"],
    exclude: [...configDefaults.exclude, "test/**/*.{long,browser,docs}.test.ts"],
    globalSetup: ["test/tools/temporary-folder.ts"],
    // What hangs is ended; a busy machine is not taken for it.
    testTimeout: 180_000,
    hookTimeout: 180_000,
    // Files of one worker share what they import: loading it for each took longer than many tests.
    isolate: false,
    // One worker a core: left alone, a machine of two cores would run one.
    maxWorkers: availableParallelism(),
  },
});
