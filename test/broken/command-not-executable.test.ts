import { accessSync, constants } from "node:fs";
import { resolve } from "node:path";
import { expect, it } from "vitest";

it("a command built anew could not be run by npx: “Permission denied”", () => {
  const main = resolve(import.meta.dirname, "../../dist/cli/main.js");
  expect(() => accessSync(main, constants.X_OK)).not.toThrow();
});
