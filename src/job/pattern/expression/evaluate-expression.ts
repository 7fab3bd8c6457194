import { add, scale, sub } from "../../../geometry/vector.js";
import { listed, nearest } from "../../words.js";
import { ExpressionError } from "./expression-error.js";
import { PATTERN_FUNCTIONS, type Value, type ValueKind } from "./functions.js";
import { amountOf, type Expression } from "./parse-expression.js";

/** Names that an expression may use, with what they stand for. */
export type Scope = ReadonlyMap<string, Value>;

/**
 * Works an expression out.
 *
 * @param wanted what it must come to
 * @throws ExpressionError for a name or function that is not known, a point where a number belongs (or the other way round), or a result that is no number.
 */
export function evaluateExpression<K extends ValueKind>(
  expression: Expression,
  scope: Scope,
  wanted: K,
): K extends "number" ? number : Exclude<Value, number>;
export function evaluateExpression(expression: Expression, scope: Scope, wanted: ValueKind): Value {
  const value = evaluateAny(expression, scope);
  if (kindOf(value) !== wanted)
    throw new ExpressionError(
      `it comes to a ${kindOf(value)}`,
      wanted === "point" ? "a point belongs here, such as point(0, opening)" : "a number belongs here",
    );
  return value;
}

/** What an expression comes to, point or number. */
export function evaluateAny(expression: Expression, scope: Scope): Value {
  const value = work(expression, scope);
  const finite = typeof value === "number" ? Number.isFinite(value) : Number.isFinite(value.x + value.y);
  if (finite) return value;
  throw new ExpressionError(
    "it does not come to a number",
    "look for a division by nothing, parallel lines, or the root of a negative number",
  );
}

const kindOf = (value: Value): ValueKind => (typeof value === "number" ? "number" : "point");

function work(expression: Expression, scope: Scope): Value {
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

function named(name: string, scope: Scope): Value {
  const value = scope.get(name);
  if (value !== undefined) return value;
  if (name === "pi") return Math.PI;
  const known = [...scope.keys()];
  const near = nearest(name, known);
  const rule = `the names here are ${listed([...known, "pi"])}`;
  if (PATTERN_FUNCTIONS.has(name))
    throw new ExpressionError(`${name} stands without its brackets`, PATTERN_FUNCTIONS.get(name)!.says);
  throw new ExpressionError(
    `there is no “${name}” here`,
    near ? `did you mean ${near}? T${rule.slice(1)}` : rule,
  );
}

function called(name: string, args: readonly Expression[], scope: Scope): Value {
  const found = PATTERN_FUNCTIONS.get(name);
  if (!found) {
    const known = [...PATTERN_FUNCTIONS.keys()];
    const near = nearest(name, known);
    const rule = `the functions are ${listed(known)}`;
    throw new ExpressionError(
      `there is no function “${name}”`,
      near ? `did you mean ${near}? T${rule.slice(1)}` : rule,
    );
  }
  const values = args.map((one) => work(one, scope));
  const fits =
    values.length === found.takes.length && values.every((one, i) => kindOf(one) === found.takes[i]);
  if (!fits)
    throw new ExpressionError(
      `${name} is given ${values.map((one) => `a ${kindOf(one)}`).join(", ")}`,
      `it is written ${found.says}`,
    );
  return (found.work as (...values: Value[]) => Value)(...values);
}

type Sign = Extract<Expression, { readonly a: Expression }>["kind"];

function combined(sign: Sign, a: Value, b: Value): Value {
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
    return typeof a === "number" ? scale(b as Exclude<Value, number>, a) : scale(a, b as number);
  else if (sign === "quotient" && typeof a !== "number") return scale(a, 1 / (b as number));
  throw new ExpressionError(
    `a ${sign} of a ${kindOf(a)} and a ${kindOf(b)} has no meaning`,
    "points are added, subtracted, and multiplied or divided by a number",
  );
}
