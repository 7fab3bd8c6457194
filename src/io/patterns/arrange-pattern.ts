import { add, DEGREE, direction, distance, scale, sub } from "../../core/geometry.js";
import { at, present } from "../../core/numeric/dense.js";
import {
  type Arrangement,
  type Cut,
  type CutFace,
  cut,
  type Piece,
  type Wall,
} from "../../model/cell/arrangement.js";
import { faultSentence, Unfit } from "../faults.js";
import type { KeyPath } from "../yaml/yaml-source.js";
import {
  type ExpressionValue,
  evaluateAny,
  evaluateExpression,
  type Scope,
  type ValueKind,
} from "./evaluate-expression.js";
import type { Expression } from "./parse-expression.js";
import type { Pattern, PatternFault, PatternKind, PatternPiece, PatternSizes } from "./pattern.js";

/** A pattern arranged at given sizes, or the faults that prevent it. */
export interface ArrangedPattern {
  /** `null` when an expression cannot be evaluated. */
  readonly arrangement: Arrangement | null;
  /** Every size; those not given have their usual value. */
  readonly sizes: PatternSizes;
  readonly faults: readonly PatternFault[];
}

/** Steepest jig angle, rad. */
const STEEPEST = 80 * DEGREE;

/**
 * Evaluates every expression of a pattern once. `checkPattern` and `compileCell` check whether the pieces meet.
 *
 * @example
 * arrangePattern(findPattern("diamond")).arrangement.pieces.length // 4
 */
export function arrangePattern(pattern: Pattern, given: PatternSizes = {}): ArrangedPattern {
  const worker = new Worker();
  const scope = new Map<string, ExpressionValue>();
  const sizes: Record<string, number> = {};
  for (const { name, symbol, usual } of pattern.sizes) {
    const value = given[name] ?? worker.work(usual, scope, "number", ["sizes", name, "usual"], name);
    sizes[name] = value;
    scope.set(symbol, value);
  }
  for (const [name, value] of pattern.lets) {
    const found = worker.attempt(["let", name], name, () => evaluateAny(value, scope));
    if (found !== undefined) scope.set(name, found);
  }
  const walls = pattern.walls.map((wall) => worker.wall(wall, scope));
  const kinds = new Map(pattern.kinds.map((kind) => [kind.name, worker.kind(kind, scope)]));
  const pieces = pattern.pieces.map((piece) => worker.piece(piece, present(kinds.get(piece.kind)), scope));
  const { faults } = worker;
  const arrangement: Arrangement = {
    name: pattern.name,
    strip: present(sizes.strip),
    walls,
    pieces,
    jointCount: pattern.joints.length,
    stages: pattern.stages,
  };
  return { arrangement: faults.length > 0 ? null : arrangement, sizes, faults };
}

interface MadeKind {
  readonly length: number;
  readonly cuts: readonly Cut[];
}

const MIRRORED: Readonly<Record<CutFace, CutFace>> = {
  "start-left": "start-right",
  "start-right": "start-left",
  "end-left": "end-right",
  "end-right": "end-left",
};
const FACES = Object.keys(MIRRORED) as CutFace[];

/** A direction normalised to −π … π. */
const turned = (angle: number): number => (angle > Math.PI ? angle - 2 * Math.PI : angle);

/** Evaluates expressions and collects their faults; an expression that cannot be evaluated gives NaN. */
class Worker {
  readonly faults: PatternFault[] = [];

  attempt<T>(path: KeyPath, what: string, run: () => T): T | undefined {
    try {
      return run();
    } catch (error) {
      if (!(error instanceof Unfit)) throw error;
      this.note(path, what, error.problem, error.rule);
      return undefined;
    }
  }

  work<K extends ValueKind>(expression: Expression, scope: Scope, kind: K, path: KeyPath, what: string) {
    const nothing = (kind === "number" ? Number.NaN : { x: Number.NaN, y: Number.NaN }) as never;
    return this.attempt(path, what, () => evaluateExpression(expression, scope, kind)) ?? nothing;
  }

  wall({ name, from, to }: Pattern["walls"][number], scope: Scope): Wall {
    const a = this.work(from, scope, "point", ["walls", name, "from"], "from");
    const b = this.work(to, scope, "point", ["walls", name, "to"], "to");
    if (distance(a, b) === 0)
      this.note(["walls", name], name, "it has no length", "its ends are two corners");
    return {
      name,
      middle: scale(add(a, b), 0.5),
      normal: turned(Math.atan2(b.y - a.y, b.x - a.x) + Math.PI / 2),
      halfLength: distance(a, b) / 2,
    };
  }

  kind({ name, length: tipToTip, cuts }: PatternKind, scope: Scope): MadeKind {
    const path = ["kinds", name];
    const length = this.work(tipToTip, scope, "number", [...path, "length"], "length");
    if (length <= 0)
      this.note([...path, "length"], "length", `it comes to ${length.toFixed(4)} mm`, "a piece has a length");
    const inside = new Map(scope).set("length", length);
    const made = cuts.map(({ face, angle, at, role, group, key }): Cut => {
      const own = [...path, "cuts", key];
      const jigAngle = this.work(angle, inside, "number", [...own, "angle"], "angle");
      if (!(jigAngle >= 0 && jigAngle <= STEEPEST) && !Number.isNaN(jigAngle)) {
        const problem = `it comes to ${((jigAngle * 180) / Math.PI).toFixed(4)}°`;
        this.note([...own, "angle"], "angle", problem, "counted from a square cut it is 0° to 80°");
      }
      const end = face.startsWith("end");
      const place = at === null ? null : this.work(at, inside, "number", [...own, "at"], "at");
      const reach = place === null ? length / 2 : end ? place - length / 2 : length / 2 - place;
      return cut(face, { jigAngle, reach, role, group });
    });
    this.requireAlike(name, cuts, made);
    return { length, cuts: made };
  }

  piece({ name, kind, from, towards, mirrored }: PatternPiece, made: MadeKind, scope: Scope): Piece {
    const path = ["pieces", name];
    const start = this.work(from, scope, "point", [...path, "from"], "from");
    const target = this.work(towards, scope, "point", [...path, "towards"], "towards");
    if (distance(start, target) === 0)
      this.note(path, name, "from and towards are one point", "they give the piece its direction");
    const { x, y } = sub(target, start);
    const axis = Math.atan2(y, x);
    const faces = mirrored
      ? made.cuts.map((one) => cut(MIRRORED[one.face], recipe(one))).sort(byFace)
      : made.cuts;
    const origin = add(start, scale(direction(axis), made.length / 2));
    return { name, kind, origin, axis, length: made.length, cuts: faces };
  }

  /** Cuts of one group are made on one jig. */
  private requireAlike(kind: string, cuts: PatternKind["cuts"], made: readonly Cut[]): void {
    for (const [i, { group, jigAngle }] of made.entries()) {
      const first = made.findIndex((one) => one.group === group);
      if (Math.abs(at(made, first).jigAngle - jigAngle) <= 1e-9 || Number.isNaN(jigAngle)) continue;
      const problem = `${group} has two angles`;
      this.note(
        ["kinds", kind, "cuts", at(cuts, i).key, "group"],
        "group",
        problem,
        "cuts of one group are made on one jig",
      );
    }
  }

  private note(path: KeyPath, what: string, problem: string, rule: string): void {
    this.faults.push({ path, sentence: faultSentence({ what, problem, rule }), marks: [] });
  }
}

const recipe = ({ jigAngle, reach, role, group }: Cut) => ({ jigAngle, reach, role, group });
const byFace = (a: Cut, b: Cut): number => FACES.indexOf(a.face) - FACES.indexOf(b.face);
