import { defineConfig } from "vitest/config";

/** What needs a browser: `npm run test:browser`. */
export default defineConfig({
  test: { include: ["test/browser/**/*.browser.test.ts"], testTimeout: 120_000, hookTimeout: 120_000 },
});
