import { configDefaults, defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["test/**/*.test.ts"],
    // What needs a browser runs by itself: npm run test:browser.
    exclude: [...configDefaults.exclude, "test/**/*.browser.test.ts"],
    testTimeout: 60_000,
  },
});
