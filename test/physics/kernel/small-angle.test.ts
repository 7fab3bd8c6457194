import { expect, it } from "vitest";
import { createEngine } from "../../../src/physics/kernel/engine.js";
import { smallAngle, Tape } from "../../../src/physics/kernel/tape.js";

it.each([0.05, 0.18, 0.5])("sine and cosine up to %f rad are right to the last bit or two", (limit) => {
  const tape = new Tape();
  const { sine, cosine } = smallAngle(tape, tape.load(0), limit);
  tape.store(1, sine);
  tape.store(2, cosine);
  const { memory, run } = createEngine({ angle: tape.finish("angle") }, 3, "javascript");
  const at = (angle: number): number => {
    memory[0] = angle;
    run.angle(0, 0);
    return Math.max(Math.abs(memory[1]! / Math.sin(angle) - 1), Math.abs(memory[2]! / Math.cos(angle) - 1));
  };
  let worst = 0;
  for (let k = 1; k <= 5000; k++) worst = Math.max(worst, at((limit * k) / 5000), at((-limit * k) / 5000));
  expect(worst).toBeLessThanOrEqual(2 * Number.EPSILON);
  // Beyond the limit the series is too short: the bound above would tell.
  expect(at(5 * limit)).toBeGreaterThan(1e-13);
});
