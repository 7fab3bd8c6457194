import { describe, expect, it } from "vitest";
import { Unfit } from "../../../src/io/faults.js";
import {
  type ExpressionValue,
  evaluateAny,
  evaluateExpression,
} from "../../../src/io/patterns/evaluate-expression.js";
import { parseExpression } from "../../../src/io/patterns/parse-expression.js";

const SCOPE = new Map<string, ExpressionValue>([
  ["opening", 60],
  ["strip", 3],
  ["a", { x: 0, y: 0 }],
  ["b", { x: 30, y: 0 }],
  ["c", { x: 0, y: 40 }],
]);
const number = (text: string): number => evaluateExpression(parseExpression(text), SCOPE, "number");
const point = (text: string) => evaluateExpression(parseExpression(text), SCOPE, "point");

describe("an expression", () => {
  it.each<[string, number]>([
    ["1 + 2 * 3", 7],
    ["(1 + 2) * 3", 9],
    ["10 - 4 - 3", 3],
    ["12 / 2 / 3", 2],
    ["-2 ^ 2", -4],
    ["2 ^ 3 ^ 2", 512],
    ["2 ^ -1", 0.5],
    ["--3", 3],
    ["1e-3 * opening", 0.06],
    ["2 inch", 50.8],
    ["opening / (2 mm)", 30],
    ["pi", Math.PI],
    ["min(opening, 2) + max(strip, 1)", 5],
    ["distance(b, c)", 50],
    ["x(b) + y(c)", 70],
  ])("%s comes to %f", (text, value) => {
    expect(number(text)).toBeCloseTo(value, 12);
  });

  it("counts degrees as radians, to the last bit", () => {
    expect(number("67.5 deg")).toBe(67.5 * (Math.PI / 180));
    expect(number("atan2(1, 1)")).toBe(Math.PI / 4);
  });

  it("reckons with points", () => {
    expect(point("2 * midpoint(b, c) - c / 2")).toEqual({ x: 30, y: 20 });
    // A right triangle with sides 30, 40 and 50 has an inscribed circle of radius 10.
    const { x, y } = point("incentre(a, b, c)");
    expect([x, y].map((one) => Number(one.toFixed(12)))).toEqual([10, 10]);
    expect(point("along(a, b, 5)")).toEqual({ x: 5, y: 0 });
    expect(point("left(a, b, b, 2)").y).toBeCloseTo(2, 12);
    const met = point("crossing(a, midpoint(b, c), b, b + point(0, 1))");
    expect([met.x, met.y].map((one) => Number(one.toFixed(10)))).toEqual([30, 40]);
  });

  it("tells at which bevel one line crosses another, however both are directed", () => {
    const degrees = (text: string) => (number(text) * 180) / Math.PI;
    expect(degrees("bevel(a, b, a, c)")).toBeCloseTo(0, 12);
    expect(degrees("bevel(a, b, a, point(1, 1))")).toBeCloseTo(45, 12);
    expect(degrees("bevel(b, a, point(1, 1), a)")).toBeCloseTo(45, 12);
    expect(degrees("bevel(a, b, point(-3, 1), point(-4, 2))")).toBeCloseTo(45, 12);
    expect(degrees("bevel(a, b, a, point(sqrt(3), 1))")).toBeCloseTo(60, 12);
  });

  it.each<[string, RegExp]>([
    ["opning / 2", /no “opning” here; did you mean opening\?/],
    ["sqroot(2)", /no function “sqroot”/],
    ["sqrt", /has no brackets after it/],
    ["sqrt(2, 3)", /sqrt is given a number, a number; it is written sqrt\(x\)/],
    ["sqrt(a)", /sqrt is given a point/],
    ["distance(a, 3)", /distance is given a point, a number/],
    ["a * b", /a product of a point and a point has no meaning/],
    ["a + 1", /a sum of a point and a number has no meaning/],
    ["1 / 0", /does not come to a number; look for a division by zero/],
    ["sqrt(-1)", /root of a negative number/],
    ["crossing(a, b, c, c + b)", /parallel lines/],
    ["1 +", /breaks off where a number/],
    ["(1", /breaks off where a closing bracket/],
    ["1 2", /“2” at character 3 does not belong there/],
    ["1 / 2 inch", /can be meant in two ways/],
    ["a", /comes to a point; a number belongs here/],
    ["", /breaks off/],
    ["1".repeat(301), /too long/],
  ])("%s is refused", (text, message) => {
    expect(() => number(text)).toThrow(Unfit);
    expect(() => number(text)).toThrow(message);
  });

  it.each([
    "constructor",
    "__proto__",
    "a.x",
    "a['x']",
    "x = 3",
    "1; 2",
    "() => 1",
    "toString()",
    "import(1)",
    "f(x) = x",
    "`1`",
    '"1"',
    "hasOwnProperty(1)",
  ])("%s is no way out of arithmetic", (text) => {
    expect(() => evaluateAny(parseExpression(text), SCOPE)).toThrow(Unfit);
  });

  it("is refused where a point belongs and a number comes", () => {
    expect(() => point("opening")).toThrow(/comes to a number; a point belongs here/);
  });

  it("does not run away on deep brackets", () => {
    const deep = `${"(".repeat(149)}1${")".repeat(149)}`;
    expect(number(deep)).toBe(1);
  });
});
