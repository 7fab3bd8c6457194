import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import type { CutFace } from "../../../src/model/cell/arrangement.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import { errorLayout, noErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { fitLengths } from "../../../src/physics/fitting/fit-lengths.js";
import { fittingPlan } from "../../../src/physics/fitting/fitting-plan.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import { LARGE, ORDINARY, randomErrors, squareCell } from "../../checks/validate/cells.js";
import { longIt } from "../../tools/longer.js";

const SNUG = 0.02;
const cell = squareCell(60, 3);
const model = cellModel(cell);
const ORDERS = ["first", "exact"] as const;

/** A cell with the named pieces alone. */
const cellWith = (names: readonly string[]): Cell => {
  const { stages: _, ...rest } = cell;
  const pieces = cell.pieces.filter(({ name }) => names.includes(name));
  const there = (face: number) => {
    const { body } = cell.faces[face]!;
    return body < 0 || names.includes(cell.pieces[body]!.name);
  };
  const joints = cell.joints.filter(({ first, mate }) => there(first) && there(mate));
  return compileCell({ ...rest, pieces, jointCount: joints.length });
};

/** Deepest press of the joints whose cut face is one of `own`, in the cell of one stage built anew: real pieces, templates, walls, nothing else. */
function stagePress(
  errors: Float64Array,
  order: "first" | "exact",
  {
    real,
    own = real,
    templates = [],
  }: Record<"real", readonly string[]> & Partial<Record<"own" | "templates", readonly string[]>>,
): number {
  const stage = cellWith([...real, ...templates]);
  const { indexOf } = errorLayout(cell);
  const here = Float64Array.from(errorLayout(stage).entries, ({ kind, owner, face }) =>
    templates.includes(owner) ? 0 : errors[indexOf(kind, owner, face)]!,
  );
  const { gap } = solveEquilibrium(cellModel(stage), here, { order }).rest;
  return Math.max(
    ...stage.joints.flatMap(({ name }, j) =>
      own.some((piece) => name.startsWith(`${piece}.`)) ? [-gap[2 * j]!, -gap[2 * j + 1]!] : [],
    ),
  );
}

const HINGES = ["hinge-1", "hinge-2", "hinge-3", "hinge-4"];

describe.each(ORDERS)("fitting in %s order", (order) => {
  it.each([
    ["ordinary", ORDINARY, 1],
    ["large", LARGE, 2],
  ] as const)("leaves each group of %s errors pressed by the snug limit", (_, spread, seed) => {
    const stream = createStream(seed);
    for (let k = 0; k < 12; k++) {
      const { errors, groups } = fitLengths(model, randomErrors(cell, stream, spread), { snug: SNUG, order });
      expect(groups.map(({ status }) => status)).toEqual(new Array(5).fill("fitted"));
      const [upper, lower] = [HINGES.slice(0, 2), HINGES.slice(2)];
      const all = ["diagonal", ...HINGES];
      const press = [
        stagePress(errors, order, { real: ["diagonal"] }),
        stagePress(errors, order, { real: ["diagonal", ...upper], own: upper, templates: ["key-1"] }),
        stagePress(errors, order, { real: ["diagonal", ...lower], own: lower, templates: ["key-2"] }),
        stagePress(errors, order, { real: [...all, "key-1"], own: ["key-1"] }),
        stagePress(errors, order, { real: [...all, "key-2"], own: ["key-2"] }),
      ];
      for (const [g, one] of press.entries()) {
        expect(Math.abs(one - SNUG), groups[g]!.name).toBeLessThan(1e-9);
        expect(groups[g]!.press).toBeCloseTo(one, 12);
      }
    }
  });

  it("undoes the errors of stops: what a group's ends are too long by alike comes off again", () => {
    const stream = createStream(4);
    const errors = randomErrors(cell, stream, ORDINARY);
    const shifts: Record<string, number> = { diagonal: 1, hinge: 0.7, key: -0.4 };
    const shifted = withEndShift(errors, (kind) => shifts[kind]!);
    const [plain, moved] = [errors, shifted].map((e) => fitLengths(model, e, { snug: SNUG, order }));
    for (const [i, e] of moved!.errors.entries()) expect(e).toBeCloseTo(plain!.errors[i]!, 8);
    for (const [g, { offset, pieces }] of moved!.groups.entries()) {
      const { kind } = cell.pieces.find(({ name }) => name === pieces[0])!;
      expect(offset).toBeCloseTo(plain!.groups[g]!.offset - shifts[kind]!, 8);
    }
    // As cut the two are far apart.
    const rests = [errors, shifted].map((e) => solveEquilibrium(model, e, { order }).rest.gap);
    expect(Math.max(...rests[0]!.map((g, i) => Math.abs(g - rests[1]![i]!)))).toBeGreaterThan(0.1);
  });

  it("of a diagonal's stop 1 mm and 0.3 mm long leaves the same gaps", () => {
    const [long, longer] = [0.3, 1].map((by) =>
      withEndShift(noErrors(cell), (kind) => (kind === "diagonal" ? by : 0)),
    );
    const [a, b] = [long!, longer!].map((e) => {
      const { errors } = fitLengths(model, e, { snug: SNUG, order });
      return solveEquilibrium(model, errors, { order }).rest.gap;
    });
    for (const [i, g] of a!.entries()) expect(g).toBeCloseTo(b![i]!, 9);
  });

  it("of the cell's mirror image is the mirror image of the fit", () => {
    // The mirror in the diagonal changes hinge-1 with hinge-3, hinge-2 with hinge-4, key-1 with key-2, and left with right.
    const errors = randomErrors(cell, createStream(5), ORDINARY);
    const mirrored = mirror(errors);
    const [a, b] = [errors, mirrored].map((e) => fitLengths(model, e, { snug: SNUG, order }));
    const offsets = ({ groups }: typeof a & {}) => groups.map(({ offset }) => offset);
    const [first, second] = [offsets(a!), offsets(b!)];
    for (const [g, other] of [0, 2, 1, 4, 3].entries()) expect(second[g]).toBeCloseTo(first[other]!, 8);
    expect(Math.abs(first[1]! - first[2]!)).toBeGreaterThan(1e-3);
  });

  it("leaves pieces alone that are too short when none starts long", () => {
    const stream = createStream(6);
    const options = { snug: SNUG, order };
    for (let k = 0; k < 6; k++) {
      const errors = randomErrors(cell, stream, ORDINARY);
      const { groups } = fitLengths(model, errors, { ...options, startsLong: false });
      const [free] = fitLengths(model, errors, options).groups;
      expect(groups[0]!.wanted).toBe(free!.offset);
      for (const { wanted, offset, status, press } of groups) {
        expect(offset).toBe(Math.min(0, wanted));
        expect(status === "too short").toBe(wanted > 0);
        if (wanted > 0) expect(press).toBeLessThan(SNUG);
        else expect(Math.abs(press - SNUG)).toBeLessThan(1e-9);
      }
    }
  });
});

describe("the closed forms of fitting", () => {
  it("a diagonal too long by s presses (s/2)·cos 45° into its corners", () => {
    const errors = withEndShift(noErrors(cell), (kind) => (kind === "diagonal" ? 0.4 : 0));
    for (const snug of [0.01, 0.02, 0.05]) {
      const [group] = fitLengths(model, errors, { snug, order: "first" }).groups;
      expect(group!.offset).toBeCloseTo((2 * snug) / Math.cos(Math.PI / 4) - 0.4, 10);
    }
  });

  it("the offsets of a nominal cell are in proportion to the snug limit, in first order", () => {
    const at = (snug: number) =>
      fitLengths(model, noErrors(cell), { snug, order: "first" }).groups.map(({ offset }) => offset);
    const [one, three] = [at(0.01), at(0.03)];
    for (const [g, offset] of one.entries()) {
      expect(offset).toBeGreaterThan(0.01);
      expect(three[g]).toBeCloseTo(3 * offset, 9);
    }
  });

  it("hinges 1 mm too long swing into the empty notch; a template of the key holds them", () => {
    const pressOf = (names: readonly string[]): number => {
      const stage = cellWith(names);
      const { indexOf } = errorLayout(stage);
      const long = noErrors(stage);
      for (const hinge of ["hinge-1", "hinge-2"])
        for (const face of ["end-left", "end-right"] as const) long[indexOf("axial", hinge, face)] = 1;
      return Math.max(...solveEquilibrium(cellModel(stage), long).rest.gap.map((g) => -g));
    };
    // docs/model.md prints these.
    expect(pressOf(["diagonal", "hinge-1", "hinge-2"])).toBeCloseTo(0.003, 3);
    expect(pressOf(["diagonal", "hinge-1", "hinge-2", "key-1"])).toBeCloseTo(0.3, 2);
  });

  longIt("templates of all that is missing would be pushed about by the walls, and the gaps be wider", () => {
    // Every stage seated in the whole cell, later pieces at nominal size: what the plan avoids.
    const stream = createStream(11);
    const everywhere = fittingPlan(cell).map(({ group, trimmed }) => ({
      own: group.pieces.map((body) => cell.pieces[body]!.name),
      trimmed,
      real: new Set(
        fittingPlan(cell).flatMap(({ group: { stage, pieces } }) => (stage < group.stage ? pieces : [])),
      ),
    }));
    const { entries } = errorLayout(cell);
    const worst = (errors: Float64Array) =>
      Math.max(...solveEquilibrium(model, errors, { order: "first" }).rest.gap);
    const [few, many]: [number[], number[]] = [[], []];
    for (let k = 0; k < 40; k++) {
      const errors = randomErrors(cell, stream, ORDINARY);
      few.push(worst(fitLengths(model, errors, { snug: SNUG, order: "first" }).errors));
      const fitted = errors.slice();
      for (const { own, trimmed, real } of everywhere) {
        const press = (offset: number): number => {
          const here = fitted.map((e, i) => {
            const body = cell.pieces.findIndex(({ name }) => name === entries[i]!.owner);
            return body < 0 || real.has(body) || own.includes(entries[i]!.owner) ? e : 0;
          });
          for (const place of trimmed) here[place]! += offset;
          const { gap } = solveEquilibrium(model, here, { order: "first" }).rest;
          return Math.max(
            ...cell.joints.flatMap(({ name }, j) =>
              own.some((piece) => name.startsWith(`${piece}.`)) ? [-gap[2 * j]!, -gap[2 * j + 1]!] : [],
            ),
          );
        };
        let [low, high] = [-3, 3];
        for (let step = 0; step < 24; step++) {
          const middle = (low + high) / 2;
          if (press(middle) > SNUG) high = middle;
          else low = middle;
        }
        for (const place of trimmed) fitted[place]! += low;
      }
      many.push(worst(fitted));
    }
    const upper = (list: number[]) => [...list].sort((a, b) => a - b)[35]!;
    expect(upper(many)).toBeGreaterThan(2 * upper(few));
  });

  it("a stiffer press changes next to nothing but the snug limit does", () => {
    const errors = randomErrors(cell, createStream(9), ORDINARY);
    const offsets = (snug: number, pressRatio: number) =>
      fitLengths(model, errors, { snug, pressRatio, order: "first" }).groups.map(({ offset }) => offset);
    const [plain, stiff, loose] = [
      offsets(SNUG, PRESS_RATIO),
      offsets(SNUG, 4 * PRESS_RATIO),
      offsets(0.04, PRESS_RATIO),
    ];
    const most = (other: number[]) => Math.max(...other.map((o, g) => Math.abs(o - plain[g]!)));
    expect(most(stiff)).toBeLessThan(most(loose) / 3);
  });
});

describe("what cannot be fitted is refused", () => {
  it("a snug limit of nothing", () => {
    for (const snug of [0, -0.01, Number.NaN])
      expect(() => fitLengths(model, noErrors(cell), { snug })).toThrow(/snug limit greater than zero/);
  });

  it("by the group's name", () => {
    const errors = noErrors(cell);
    const { indexOf } = errorLayout(cell);
    for (const wall of ["wall-left", "wall-right", "wall-top", "wall-bottom"])
      errors[indexOf("offset", wall)] = 25;
    expect(() => fitLengths(model, errors, { snug: SNUG, order: "first" })).toThrow(
      /diagonal cannot be fitted by trial, for however much comes off/,
    );
  });
});

/** Adds to every end cut what its kind of piece is longer by. */
function withEndShift(errors: Float64Array, by: (kind: string) => number): Float64Array {
  const { entries } = errorLayout(cell);
  return errors.map((e, i) => {
    const { kind, owner, face } = entries[i]!;
    if (kind !== "axial" || !face!.startsWith("end")) return e;
    return e + by(cell.pieces.find(({ name }) => name === owner)!.kind);
  });
}

const TWIN: Record<string, string> = {
  "hinge-1": "hinge-3",
  "hinge-2": "hinge-4",
  "key-1": "key-2",
  "wall-left": "wall-bottom",
  "wall-top": "wall-right",
};

function mirror(errors: Float64Array): Float64Array {
  const { entries, indexOf } = errorLayout(cell as Cell);
  const twin = (owner: string): string =>
    TWIN[owner] ?? Object.keys(TWIN).find((one) => TWIN[one] === owner) ?? owner;
  const swapped = (face: CutFace): CutFace =>
    (face.endsWith("left") ? face.replace("left", "right") : face.replace("right", "left")) as CutFace;
  return Float64Array.from(entries, ({ kind, owner, face }) => {
    const value = errors[indexOf(kind, twin(owner), face && swapped(face))]!;
    return kind === "turn" ? -value : value;
  });
}
