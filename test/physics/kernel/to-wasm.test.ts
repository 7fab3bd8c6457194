import { describe, expect, it } from "vitest";
import { signedLeb, unsignedLeb } from "../../../src/physics/kernel/to-wasm.js";

/** DWARF Debugging Information Format, version 4 (2010), figures 22 and 23: examples of both encodings. */
const UNSIGNED: readonly (readonly [number, readonly number[]])[] = [
  [2, [2]],
  [127, [127]],
  [128, [0 + 0x80, 1]],
  [129, [1 + 0x80, 1]],
  [130, [2 + 0x80, 1]],
  [12857, [57 + 0x80, 100]],
];
const SIGNED: typeof UNSIGNED = [
  [2, [2]],
  [-2, [0x7e]],
  [127, [127 + 0x80, 0]],
  [-127, [1 + 0x80, 0x7f]],
  [128, [0 + 0x80, 1]],
  [-128, [0 + 0x80, 0x7f]],
  [129, [1 + 0x80, 1]],
  [-129, [0x7f + 0x80, 0x7e]],
];

describe("whole numbers in groups of seven bits", () => {
  it.each(UNSIGNED)("%i without a sign", (value, bytes) => {
    expect(unsignedLeb(value)).toEqual(bytes);
  });
  it.each(SIGNED)("%i with a sign", (value, bytes) => {
    expect(signedLeb(value)).toEqual(bytes);
  });
});
