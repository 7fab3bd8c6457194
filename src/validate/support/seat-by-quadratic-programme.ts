import type { solveQP } from "quadprog";
import type { LinearSeating } from "./linear-seating.js";

export type SolveProgramme = typeof solveQP;

export interface ProgrammedRest {
  readonly pose: number[];
  readonly gap: number[];
  /** Energy as the programme states it, and of its poses. */
  readonly value: number;
  readonly energy: number;
}

/**
 * The seating as a quadratic programme, solved by the dual method of Goldfarb and Idnani (1983) of the library quadprog, which knows nothing of springs or signs.
 *
 * Since k(g)·g² = g² + (K − 1)·max(0, −g)², the least of ½ Σ w·k(g)·g² is that of
 *     ½ Σ w·g(q)² + ½ (K − 1) Σ w·m²   under   m ≥ −g(q):
 * m is the press, held up by its constraint where a gap is negative and drawn to zero where it is not. It is strictly convex in (q, m) when K > 1, every w > 0 and
 * the pieces are held, as the method asks. Coordinates are scaled to slopes of unit length.
 *
 * @throws Error when the library finds no solution.
 */
export function seatByQuadraticProgramme(
  { free, slopes, weight, pressRatio }: LinearSeating,
  solve: SolveProgramme,
): ProgrammedRest {
  const probes = free.length;
  const n = slopes.length / probes;
  const scale = Array.from({ length: n }, (_, c) =>
    Math.hypot(...Array.from({ length: probes }, (_, i) => slopes[i * n + c]!)),
  );
  const slope = (probe: number, c: number): number => slopes[probe * n + c]! / scale[c]!;
  const size = n + probes;
  const oneBased = () => new Array<number>(size + 1).fill(0);
  const D = Array.from({ length: size + 1 }, oneBased);
  const d = oneBased();
  const A = Array.from({ length: size + 1 }, () => new Array<number>(probes + 1).fill(0));
  const b0 = new Array<number>(probes + 1).fill(0);
  for (let i = 0; i < probes; i++) {
    for (let a = 0; a < n; a++) {
      for (let b = 0; b < n; b++) D[a + 1]![b + 1]! += weight[i]! * slope(i, a) * slope(i, b);
      d[a + 1]! -= weight[i]! * slope(i, a) * free[i]!;
      A[a + 1]![i + 1] = slope(i, a);
    }
    D[n + i + 1]![n + i + 1] = (pressRatio - 1) * weight[i]!;
    A[n + i + 1]![i + 1] = 1;
    b0[i + 1] = -free[i]!;
  }
  const { solution, value, message } = solve(D, d, A, b0);
  if (message !== "") throw new Error(`The quadratic programme was not solved: ${message}`);
  const pose = scale.map((s, c) => solution[c + 1]! / s);
  const gap = Array.from(free, (g, i) => pose.reduce((sum, q, c) => sum + slopes[i * n + c]! * q, g));
  return {
    pose,
    gap,
    value: value[1]! + free.reduce((sum, g, i) => sum + 0.5 * weight[i]! * g * g, 0),
    energy: gap.reduce((sum, g, i) => sum + 0.5 * weight[i]! * (g < 0 ? pressRatio : 1) * g * g, 0),
  };
}
