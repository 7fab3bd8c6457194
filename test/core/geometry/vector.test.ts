import { describe, expect, it } from "vitest";
import {
  add,
  direction,
  distance,
  dot,
  rotate,
  scale,
  sub,
  turnedLeft,
  vec,
} from "../../../src/core/geometry.js";

describe("vectors", () => {
  it("turn counter-clockwise", () => {
    expect(turnedLeft(vec(1, 0))).toEqual(vec(-0, 1));
    expect(distance(rotate(vec(1, 0), Math.PI / 2), vec(0, 1))).toBeLessThan(1e-16);
    expect(distance(rotate(vec(3, 4), Math.PI), vec(-3, -4))).toBeLessThan(1e-15);
    expect(distance(direction(Math.PI / 6), vec(Math.sqrt(3) / 2, 0.5))).toBeLessThan(1e-15);
  });

  it("keep length and angle when turned", () => {
    const [a, b] = [vec(1.5, -2), vec(-0.25, 7)];
    for (let k = 0; k < 12; k++) {
      expect(dot(rotate(a, k), rotate(b, k))).toBeCloseTo(dot(a, b), 12);
      expect(dot(rotate(a, Math.PI / 2), turnedLeft(b))).toBeCloseTo(dot(a, b), 12);
    }
  });

  it("add, subtract and scale", () => {
    expect(add(vec(1, 2), vec(3, 5))).toEqual(vec(4, 7));
    expect(sub(vec(1, 2), vec(3, 5))).toEqual(vec(-2, -3));
    expect(scale(vec(1, -2), 3)).toEqual(vec(3, -6));
    expect(distance(vec(1, 1), vec(4, 5))).toBe(5);
  });
});
