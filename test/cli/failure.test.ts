import { expect, it } from "vitest";
import { failure } from "../../src/cli/failure.js";
import { UserError } from "../../src/core/errors.js";
import { parseLength } from "../../src/core/quantity/index.js";
import { Interrupted } from "../../src/core/until-interrupted.js";
import { JobError } from "../../src/io/faults.js";
import { NotebookError } from "../../src/render/notebook/notebook.js";

const thrown = (run: () => unknown): unknown => {
  try {
    return run();
  } catch (error) {
    return error;
  }
};

it.each([
  ["a word about what was asked", new UserError("panel", "Too small."), "Too small.", 1],
  ["wrong options", new UserError("usage", "Not both."), "Not both.", 2],
  ["a quantity in an option", thrown(() => parseLength("3 ells", { unit: "mm" })), /3 ells/, 2],
  [
    "a cell without rest",
    new UserError("seating", "No rest."),
    /^No rest\. Look for a value that is far too large/,
    1,
  ],
  ["faults in a job", new JobError([]), /to mend/, 1],
  ["a notebook", new NotebookError("No such cell.", "stack"), "No such cell.", 1],
  ["Ctrl-C", new Interrupted("Stopped."), "Stopped.", 130],
  [
    "the disk",
    Object.assign(new Error("x"), { code: "ENOSPC", path: "a.html" }),
    "The disk is full: a.html",
    1,
  ],
])("ends by class and code: %s", (_, error, message, code) => {
  expect(failure(error)).toEqual({ message: expect.stringMatching(message), code });
});

it("reports any other error as a fault of the program, whatever its name", () => {
  const posing = Object.assign(new Error("index out of range"), { name: "JobError" });
  expect(failure(posing)).toMatchObject({ message: expect.stringContaining("fault in sukima"), code: 3 });
});
