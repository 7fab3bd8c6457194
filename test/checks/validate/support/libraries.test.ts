import { expect, it } from "vitest";
import { installed } from "../seating-programme.js";

it("a library that is there is given, one that is not is null", async () => {
  expect(await installed(() => import("quadprog"))).toHaveProperty("solveQP");
  const name = "no-such-library-anywhere";
  expect(await installed(() => import(/* @vite-ignore */ name))).toBeNull();
});

it("a library that breaks while it loads is not taken for one that is missing", async () => {
  await expect(installed(() => Promise.reject(new Error("broken")))).rejects.toThrow("broken");
});
