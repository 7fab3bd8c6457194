import { availableParallelism } from "node:os";
import { configDefaults, defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["test/**/*.test.ts"],
    // What needs a browser, or runs every command that the docs show, runs by itself: npm run test:browser, npm run test:docs.
    exclude: [...configDefaults.exclude, "test/**/*.browser.test.ts", "test/**/*.docs.test.ts"],
    testTimeout: 60_000,
    // One worker a core: left alone, a machine of two cores would run one.
    maxWorkers: availableParallelism(),
  },
});
