import type { CellModel } from "../predict/cell-model.js";
import { slopesOf } from "../seating/energy.js";
import { PRESS_RATIO } from "../seating/seating-model.js";

/** The one function of the library that is used; its arrays count from 1. */
type SolveQP = (
  D: number[][],
  d: number[],
  A: number[][],
  b0: number[],
) => { readonly solution: readonly number[]; readonly message: string };

/** `null` where the library, which is for development only, is not installed. */
export async function loadQuadprog(): Promise<SolveQP | null> {
  const name: string = "quadprog";
  try {
    return (await import(name)).solveQP as SolveQP;
  } catch {
    return null;
  }
}

/** First-order seating as plain matrices: gaps = free + slopes·q. */
export interface LinearProblem {
  /** d gap / d pose, row-major (probe, coordinate). */
  readonly slopes: Float64Array;
  readonly weight: Float64Array;
  readonly coordinates: number;
}

export function linearProblem({ seating, nominal }: CellModel): LinearProblem {
  const coordinates = 3 * seating.bodies;
  const slopes = new Float64Array(seating.weight.length * coordinates);
  const own = new Float64Array(6);
  const place = new Int32Array(6);
  for (const i of seating.weight.keys()) {
    const used = slopesOf(seating, nominal.moves, i, own, place);
    for (let k = 0; k < used; k++) slopes[i * coordinates + place[k]!] = own[k]!;
  }
  return { slopes, weight: seating.weight, coordinates };
}

/** Least of ½ Σ w·g² + ½ (K − 1) Σ w·m² under m ≥ −g: k·g² = g² + (K − 1)·max(0, −g)² with the press m as a variable of its own. */
export function solveByQuadprog(
  solveQP: SolveQP,
  { slopes, weight, coordinates: n }: LinearProblem,
  free: Float64Array,
): number[] {
  const probes = free.length;
  const size = n + probes;
  const row = (length: number) => new Array<number>(length + 1).fill(0);
  const D = Array.from({ length: size + 1 }, () => row(size));
  const d = row(size);
  const A = Array.from({ length: size + 1 }, () => row(probes));
  const b0 = row(probes);
  for (let i = 0; i < probes; i++) {
    const w = weight[i]!;
    for (let a = 0; a < n; a++) {
      const slope = slopes[i * n + a]!;
      for (let b = 0; b < n; b++) D[a + 1]![b + 1]! += w * slope * slopes[i * n + b]!;
      d[a + 1]! -= w * slope * free[i]!;
      A[a + 1]![i + 1] = slope;
    }
    D[n + i + 1]![n + i + 1] = (PRESS_RATIO - 1) * w;
    A[n + i + 1]![i + 1] = 1;
    b0[i + 1] = -free[i]!;
  }
  const { solution, message } = solveQP(D, d, A, b0);
  if (message !== "") throw new Error(`The quadratic programme was not solved: ${message}`);
  return Array.from(free, (g, i) => {
    let gap = g;
    for (let c = 0; c < n; c++) gap += slopes[i * n + c]! * solution[c + 1]!;
    return gap;
  });
}
