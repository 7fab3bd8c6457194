import { type HalfPlane, crossing as linesCrossing } from "../../../geometry/half-plane.js";
import { incentre } from "../../../geometry/triangle.js";
import {
  add,
  direction,
  distance,
  dot,
  scale,
  sub,
  turnedLeft,
  type Vec,
  vec,
} from "../../../geometry/vector.js";

/** What an expression comes to: a number (mm, rad or plain) or a point in the cell's axes (mm). */
export type Value = number | Vec;
export type ValueKind = "number" | "point";

/** A function that expressions may call. */
export interface PatternFunction {
  readonly takes: readonly ValueKind[];
  readonly gives: ValueKind;
  /** How it is written, and what it is. */
  readonly says: string;
  readonly work: (...values: never[]) => Value;
}

const plain = (says: string, work: (x: number) => number): PatternFunction => ({
  ...{ takes: ["number"], gives: "number", says, work },
});
const pair = (says: string, work: (x: number, y: number) => number): PatternFunction => ({
  ...{ takes: ["number", "number"], gives: "number", says, work },
});
const points = (
  count: number,
  gives: ValueKind,
  says: string,
  work: (...p: Vec[]) => Value,
): PatternFunction => ({
  ...{ takes: Array.from({ length: count }, () => "point" as const), gives, says, work },
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
      ...{ takes: ["number", "number"], gives: "point", says: "point(x, y): x to the right, y upwards, mm" },
      work: vec,
    },
    x: points(1, "number", "x(P): how far to the right, mm", (p) => p!.x),
    y: points(1, "number", "y(P): how far up, mm", (p) => p!.y),
    distance: points(2, "number", "distance(P, Q): mm", (p, q) => distance(p!, q!)),
    heading: points(
      2,
      "number",
      "heading(P, Q): direction from P to Q, counter-clockwise from the right",
      (p, q) => heading(p!, q!),
    ),
    midpoint: points(2, "point", "midpoint(P, Q): half way", (p, q) => scale(add(p!, q!), 0.5)),
    incentre: points(3, "point", "incentre(P, Q, R): where a triangle's bisectors meet", (p, q, r) =>
      incentre(p!, q!, r!),
    ),
    crossing: points(4, "point", "crossing(P, Q, R, S): where the line PQ meets the line RS", (p, q, r, s) =>
      linesCrossing(lineThrough(p!, q!), lineThrough(r!, s!)),
    ),
    bevel: points(
      4,
      "number",
      "bevel(P, Q, R, S): angle from a square cut at which the line RS crosses a piece along PQ",
      (p, q, r, s) => Math.abs(Math.PI / 2 - between(heading(p!, q!), heading(r!, s!))),
    ),
    along: {
      ...{ takes: ["point", "point", "number"], gives: "point" },
      says: "along(P, Q, d): d mm from P towards Q",
      work: (p: Vec, q: Vec, d: number) => add(p, scale(direction(heading(p, q)), d)),
    },
    left: {
      ...{ takes: ["point", "point", "point", "number"], gives: "point" },
      says: "left(P, Q, R, d): R moved d mm to the left of the way from P to Q",
      work: (p: Vec, q: Vec, r: Vec, d: number) => add(r, scale(direction(heading(p, q) + Math.PI / 2), d)),
    },
  } satisfies Record<string, PatternFunction>),
);
