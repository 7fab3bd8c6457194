import { expect } from "vitest";
import type { ErrorCode, UserError } from "../src/core/errors.js";

/** Matches a UserError of this code, for `toThrow` and `toEqual`. */
export const userError = (code: ErrorCode): UserError =>
  expect.objectContaining({ name: "UserError", code }) as UserError;
