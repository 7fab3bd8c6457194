/** All 2ⁿ corners of a box with sides from −`size` to `size`. */
export const cornersOf = (n: number, size: number): number[][] =>
  Array.from({ length: 2 ** n }, (_, code) =>
    Array.from({ length: n }, (_, k) => ((code >> k) & 1 ? size : -size)),
  );
