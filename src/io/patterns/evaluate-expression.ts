import {
  add,
  direction,
  distance,
  dot,
  type HalfPlane,
  incentre,
  crossing as linesCrossing,
  scale,
  sub,
  turnedLeft,
  type Vec,
  vec,
} from "../../core/geometry.js";
import { listed } from "../../core/text.js";
import { nearest, Unfit } from "../faults.js";
import { amountOf, type Expression } from "./parse-expression.js";

/** Names that an expression may use, with their values. */
export type Scope = ReadonlyMap<string, ExpressionValue>;

/**
 * Evaluates an expression.
 *
 * @param wanted the kind of result wanted
 * @throws Unfit for an unknown name or function, a point where a number belongs (or the other way round), or a result that is not a finite number.
 */
export function evaluateExpression<K extends ValueKind>(
  expression: Expression,
  scope: Scope,
  wanted: K,
): K extends "number" ? number : Exclude<ExpressionValue, number>;
export function evaluateExpression(expression: Expression, scope: Scope, wanted: ValueKind): ExpressionValue {
  const value = evaluateAny(expression, scope);
  if (kindOf(value) !== wanted)
    throw new Unfit(
      `it comes to a ${kindOf(value)}`,
      wanted === "point" ? "a point belongs here, such as point(0, opening)" : "a number belongs here",
    );
  return value;
}

/** The value of an expression, point or number. */
export function evaluateAny(expression: Expression, scope: Scope): ExpressionValue {
  const value = work(expression, scope);
  const finite = typeof value === "number" ? Number.isFinite(value) : Number.isFinite(value.x + value.y);
  if (finite) return value;
  throw new Unfit(
    "it does not come to a number",
    "look for a division by zero, parallel lines, or the root of a negative number",
  );
}

const kindOf = (value: ExpressionValue): ValueKind => (typeof value === "number" ? "number" : "point");

function work(expression: Expression, scope: Scope): ExpressionValue {
  switch (expression.kind) {
    case "number":
      return amountOf(expression);
    case "name":
      return named(expression.name, scope);
    case "call":
      return called(expression.name, expression.args, scope);
    case "minus": {
      const value = work(expression.of, scope);
      return typeof value === "number" ? -value : scale(value, -1);
    }
    default:
      return combined(expression.kind, work(expression.a, scope), work(expression.b, scope));
  }
}

function named(name: string, scope: Scope): ExpressionValue {
  const value = scope.get(name);
  if (value !== undefined) return value;
  if (name === "pi") return Math.PI;
  const known = [...scope.keys()];
  const near = nearest(name, known);
  const rule = `the names here are ${listed([...known, "pi"])}`;
  const asFunction = PATTERN_FUNCTIONS.get(name);
  if (asFunction) throw new Unfit(`${name} has no brackets after it`, asFunction.says);
  throw new Unfit(`there is no “${name}” here`, near ? `did you mean ${near}? T${rule.slice(1)}` : rule);
}

function called(name: string, args: readonly Expression[], scope: Scope): ExpressionValue {
  const found = PATTERN_FUNCTIONS.get(name);
  if (!found) {
    const known = [...PATTERN_FUNCTIONS.keys()];
    const near = nearest(name, known);
    const rule = `the functions are ${listed(known)}`;
    throw new Unfit(
      `there is no function “${name}”`,
      near ? `did you mean ${near}? T${rule.slice(1)}` : rule,
    );
  }
  const values = args.map((one) => work(one, scope));
  const fits =
    values.length === found.takes.length && values.every((one, i) => kindOf(one) === found.takes[i]);
  if (!fits)
    throw new Unfit(
      `${name} is given ${values.map((one) => `a ${kindOf(one)}`).join(", ")}`,
      `it is written ${found.says}`,
    );
  return (found.work as (...values: ExpressionValue[]) => ExpressionValue)(...values);
}

type Sign = Extract<Expression, { readonly a: Expression }>["kind"];

function combined(sign: Sign, a: ExpressionValue, b: ExpressionValue): ExpressionValue {
  if (typeof a === "number" && typeof b === "number") {
    if (sign === "sum") return a + b;
    if (sign === "difference") return a - b;
    if (sign === "product") return a * b;
    return sign === "quotient" ? a / b : a ** b;
  }
  if (typeof a !== "number" && typeof b !== "number") {
    if (sign === "sum") return add(a, b);
    if (sign === "difference") return sub(a, b);
  } else if (sign === "product")
    return typeof a === "number" ? scale(b as Exclude<ExpressionValue, number>, a) : scale(a, b as number);
  else if (sign === "quotient" && typeof a !== "number") return scale(a, 1 / (b as number));
  throw new Unfit(
    `a ${sign} of a ${kindOf(a)} and a ${kindOf(b)} has no meaning`,
    "points are added, subtracted, and multiplied or divided by a number",
  );
}

/** The value of an expression: a number (mm, rad or dimensionless) or a point in the cell's axes (mm). */
export type ExpressionValue = number | Vec;
export type ValueKind = "number" | "point";

/** A function that expressions may call. */
interface PatternFunction {
  readonly takes: readonly ValueKind[];
  readonly gives: ValueKind;
  /** How a call is written, and what it means. */
  readonly says: string;
  readonly work: (...values: never[]) => ExpressionValue;
}

const plain = (says: string, work: (x: number) => number): PatternFunction => ({
  takes: ["number"],
  gives: "number",
  says,
  work,
});
const pair = (says: string, work: (x: number, y: number) => number): PatternFunction => ({
  takes: ["number", "number"],
  gives: "number",
  says,
  work,
});
interface PointArguments {
  readonly 1: [p: Vec];
  readonly 2: [p: Vec, q: Vec];
  readonly 3: [p: Vec, q: Vec, r: Vec];
  readonly 4: [p: Vec, q: Vec, r: Vec, s: Vec];
}
const points = <N extends keyof PointArguments>(
  count: N,
  gives: ValueKind,
  says: string,
  work: (...points: PointArguments[N]) => ExpressionValue,
): PatternFunction => ({
  takes: Array.from({ length: count }, () => "point" as const),
  gives,
  says,
  // Every call is checked against `takes` first.
  work: work as unknown as PatternFunction["work"],
});

const lineThrough = (p: Vec, q: Vec): HalfPlane => {
  const normal = scale(turnedLeft(sub(q, p)), 1 / distance(p, q));
  return { normal, offset: dot(normal, p) };
};
const heading = (p: Vec, q: Vec): number => Math.atan2(q.y - p.y, q.x - p.x);

/** Angle between two directions, 0 to π. */
function between(a: number, b: number): number {
  const turn = Math.abs(a - b);
  return turn > Math.PI ? 2 * Math.PI - turn : turn;
}

/** Every function of an expression by name; nothing else can be called. */
export const PATTERN_FUNCTIONS: ReadonlyMap<string, PatternFunction> = new Map(
  Object.entries({
    sqrt: plain("sqrt(x): square root", Math.sqrt),
    abs: plain("abs(x): without its sign", Math.abs),
    sin: plain("sin(angle)", Math.sin),
    cos: plain("cos(angle)", Math.cos),
    tan: plain("tan(angle)", Math.tan),
    asin: plain("asin(x): the angle with that sine", Math.asin),
    acos: plain("acos(x): the angle with that cosine", Math.acos),
    atan: plain("atan(x): the angle with that tangent", Math.atan),
    atan2: pair("atan2(y, x): the angle of the point (x, y)", Math.atan2),
    min: pair("min(x, y): the smaller", Math.min),
    max: pair("max(x, y): the larger", Math.max),
    point: {
      takes: ["number", "number"],
      gives: "point",
      says: "point(x, y): x to the right, y upwards, mm",
      work: vec,
    },
    x: points(1, "number", "x(P): how far to the right, mm", (p) => p.x),
    y: points(1, "number", "y(P): how far up, mm", (p) => p.y),
    distance: points(2, "number", "distance(P, Q): mm", (p, q) => distance(p, q)),
    heading: points(
      2,
      "number",
      "heading(P, Q): direction from P to Q, counter-clockwise from the right",
      (p, q) => heading(p, q),
    ),
    midpoint: points(2, "point", "midpoint(P, Q): half way", (p, q) => scale(add(p, q), 0.5)),
    incentre: points(3, "point", "incentre(P, Q, R): where a triangle's bisectors meet", (p, q, r) =>
      incentre(p, q, r),
    ),
    crossing: points(4, "point", "crossing(P, Q, R, S): where the line PQ meets the line RS", (p, q, r, s) =>
      linesCrossing(lineThrough(p, q), lineThrough(r, s)),
    ),
    bevel: points(
      4,
      "number",
      "bevel(P, Q, R, S): angle from a square cut at which the line RS crosses a piece along PQ",
      (p, q, r, s) => Math.abs(Math.PI / 2 - between(heading(p, q), heading(r, s))),
    ),
    along: {
      takes: ["point", "point", "number"],
      gives: "point",
      says: "along(P, Q, d): d mm from P towards Q",
      work: (p: Vec, q: Vec, d: number) => add(p, scale(direction(heading(p, q)), d)),
    },
    left: {
      takes: ["point", "point", "point", "number"],
      gives: "point",
      says: "left(P, Q, R, d): R moved d mm to the left of the way from P to Q",
      work: (p: Vec, q: Vec, r: Vec, d: number) => add(r, scale(direction(heading(p, q) + Math.PI / 2), d)),
    },
  } satisfies Record<string, PatternFunction>),
);
