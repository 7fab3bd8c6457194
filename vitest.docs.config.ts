import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["test/**/*.docs.test.ts"],
    testTimeout: 900_000,
  },
});
