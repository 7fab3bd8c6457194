import { describe, expect, it } from "vitest";
import {
  backgroundComplaint,
  complaintOf,
  thrownComplaint,
  typeComplaint,
} from "../../../src/render/notebook/failures.js";

// Texts as tslab 1.0.22 on Node 20 prints them, shortened.
const THROWN = `cell-script-1.js:10
        throw new RangeError('too big');
        ^

RangeError: too big
    at f (cell-script-1.js:10:15)
    at node:vm:280:12
`;
const ASSERTED = `node:assert:90
  throw new AssertionError(obj);
  ^

AssertionError [ERR_ASSERTION]: Expected values to be strictly equal:

1 !== 2

    at cell-script-1.js:8:44 {
  code: 'ERR_ASSERTION'
}
`;

describe("what was thrown", () => {
  it.each([
    [THROWN, "RangeError: too big"],
    [ASSERTED, "AssertionError: Expected values to be strictly equal: 1 !== 2"],
    ["RangeError: one\ntwo.\n    at cell-script-1.js:5:7\n", "RangeError: one two"],
    ["Error\n    at cell-script-1.js:5:7\n", "Error"],
    ["{ code: 3 }\n", "it threw { code: 3 }"],
    ["plain text.\n", "it threw plain text"],
    ["", "it threw something without a text"],
  ])("%j is said as %j", (printed, reason) =>
    expect(thrownComplaint(["a note\n", printed]).reason).toBe(reason),
  );

  it("is the last thing written, and all of it is kept", () => {
    const { told, error } = thrownComplaint(["a note\n", THROWN]);
    expect(told).toEqual([THROWN]);
    expect(error).toMatchObject({
      ename: "RangeError",
      evalue: "too big",
      traceback: THROWN.trimEnd().split("\n"),
    });
  });

  it("is cut short when it is very long", () => {
    const { reason } = thrownComplaint([`Error: ${"x".repeat(1000)}\n    at y`]);
    expect(reason.length).toBeLessThan(320);
  });
});

describe("the type check", () => {
  const writes = [
    "4:5 - Type 'number' is not assignable to type 'string'.\n",
    "6:1 - Cannot find name 'q'.\n",
  ];

  it("is known by its first line, and kept whole", () => {
    expect(typeComplaint(writes)).toMatchObject({ line: 4, told: writes });
    expect(typeComplaint(["note\n"])).toBeNull();
  });

  it("fails a cell that is a module, for which tslab answers that all is well", () => {
    expect(complaintOf("ok", "/** @module a */\nq", writes)?.kind).toBe("type");
    expect(complaintOf("ok", "console.error('4:5 - x')", writes)).toBeNull();
  });
});

describe("the background", () => {
  it("is told from what a cell writes itself", () => {
    expect(backgroundComplaint(["Error: UncaughtException\n"])).toBeNull();
    expect(backgroundComplaint(["a\n", "UncaughtException: Error: late\n    at x\n"])?.kind).toBe(
      "background",
    );
  });

  it("comes after what the cell itself threw", () => {
    const writes = [THROWN, "UnhandledPromiseRejection: Error: late\n    at x\n"];
    expect(complaintOf("error", "", writes)).toMatchObject({ kind: "thrown", told: [THROWN] });
    expect(complaintOf("ok", "", writes)?.kind).toBe("rejection");
  });
});
