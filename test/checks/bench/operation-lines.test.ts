import { describe, expect, it } from "vitest";
import { Tape } from "../../../src/physics/kernel/tape.js";
import { operationsOf, operationsOfTrial } from "./operation-lines.js";

describe("operations of a routine", () => {
  it("are the recorded ones, each once, without constants and loads", () => {
    const tape = new Tape();
    const sum = tape.add(tape.load(0), tape.load(1));
    tape.store(2, tape.multiply(sum, sum));
    tape.store(3, tape.subtract(tape.constant(2), sum));
    tape.answer(tape.less(sum, tape.zero));
    expect(operationsOf(tape.finish("test"))).toBe(4);
  });

  it("of a trial are more in exact order, which begins where first order ends", () => {
    const first = operationsOfTrial("first");
    expect(first).toBeGreaterThan(3000);
    expect(operationsOfTrial("exact")).toBeGreaterThan(2 * first);
  });
});
