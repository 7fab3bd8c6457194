/** The part of quadprog that the tests use. Every array counts from 1; place 0 is left empty. */
declare module "quadprog" {
  interface Solution {
    readonly solution: readonly number[];
    readonly value: readonly number[];
    readonly iterations: readonly number[];
    readonly message: string;
  }
  /** Least of ½·bᵀ·D·b − dᵀ·b under Aᵀ·b ≥ b0. */
  export function solveQP(
    D: readonly (readonly number[])[],
    d: readonly number[],
    A: readonly (readonly number[])[],
    b0: readonly number[],
  ): Solution;
}
