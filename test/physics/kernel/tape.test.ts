import { describe, expect, it } from "vitest";
import { Tape } from "../../../src/physics/kernel/tape.js";

const operations = (tape: Tape): string[] =>
  tape
    .finish("test")
    .entries.filter(({ op }) => op !== "constant" && op !== "load")
    .map(({ op }) => op);

describe("a tape", () => {
  it("works constants out at once", () => {
    const tape = new Tape();
    const x = tape.add(tape.constant(2), tape.multiply(tape.constant(3), tape.constant(4)));
    expect(x).toBe(tape.constant(14));
    expect(tape.divide(tape.constant(1), tape.constant(-4))).toBe(tape.constant(-0.25));
  });

  it("leaves out what zeros and ones do not change", () => {
    const tape = new Tape();
    const x = tape.load(0);
    expect(tape.multiply(tape.zero, x)).toBe(tape.zero);
    expect(tape.add(x, tape.zero)).toBe(x);
    expect(tape.multiply(x, tape.constant(1))).toBe(x);
    expect(tape.divide(tape.zero, x)).toBe(tape.zero);
    expect(tape.negate(tape.negate(x))).toBe(x);
    expect(tape.add(x, tape.negate(tape.load(1)))).toBe(tape.subtract(x, tape.load(1)));
  });

  it("records the same operation once, whichever way round", () => {
    const tape = new Tape();
    const [x, y] = [tape.load(0), tape.load(1)];
    expect(tape.multiply(x, y)).toBe(tape.multiply(y, x));
    expect(tape.subtract(x, y)).not.toBe(tape.subtract(y, x));
  });

  it("keeps only what is stored or answered", () => {
    const tape = new Tape();
    const [x, y] = [tape.load(0), tape.load(1)];
    tape.divide(x, y);
    tape.store(2, tape.add(x, y));
    tape.answer(tape.less(x, y));
    expect(operations(tape)).toEqual(["add", "less"]);
  });

  it("turns a product of a matrix with zeros into the products that matter", () => {
    const tape = new Tape();
    const x = [0, 1, 2].map((k) => tape.load(k));
    tape.store(3, tape.dot([0, 2, 0], x));
    tape.store(4, tape.dot([1, 0, -1], x));
    expect(operations(tape)).toEqual(["multiply", "subtract"]);
  });
});
