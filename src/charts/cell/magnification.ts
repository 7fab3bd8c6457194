import type { Vec } from "../../geometry/vector.js";
import type { CellOutline } from "../../predict/cell-outline.js";

/** How wide the worst gap should look, as a share of the strip's thickness. */
const WANTED_SHARE = 0.5;
/** A worst gap smaller than this many times what counts as closed is drawn no larger than that: a closed cell should not look open. */
const LEAST_WORST = 1.5;
/** No end of a cut is drawn further from its nominal place than this many strip thicknesses. */
const MOST_MOVE = 2;
const NICE = [1, 10, 100, 1000].flatMap((ten) => [1, 2, 5].map((step) => step * ten));

export interface MagnificationInput {
  /** Strip thickness, mm. */
  readonly strip: number;
  /** Widest gap or deepest press, mm, ≥ 0. */
  readonly worst: number;
  /** What counts as closed, mm. */
  readonly snugLimit: number;
  /** The cell drawn with its movements so many times as large. */
  readonly outlineAt: (magnification: number) => CellOutline;
}

/**
 * How many times life size to draw movements: 1, 2 or 5 times a power of ten, so that the worst gap comes out near half a strip wide.
 * Less where a piece would fold over or fly off, and never below 1.
 */
export function niceMagnification({ strip, worst, snugLimit, outlineAt }: MagnificationInput): number {
  const target = (WANTED_SHARE * strip) / Math.max(worst, LEAST_WORST * snugLimit);
  const off = (nice: number): number => Math.abs(Math.log(nice / target));
  const wanted = NICE.reduce((best, nice) => (off(nice) < off(best) ? nice : best));
  const readable = (factor: number): boolean => {
    const { pieces, largestMove } = outlineAt(factor);
    return factor * largestMove <= MOST_MOVE * strip && pieces.every(({ corners }) => isConvex(corners));
  };
  return NICE.findLast((nice) => nice <= wanted && readable(nice)) ?? 1;
}

/** Whether corners that should run counter-clockwise still do, all of them. */
function isConvex(corners: readonly Vec[]): boolean {
  const at = (i: number): Vec => corners[i % corners.length]!;
  return corners.every((a, i) => {
    const [b, c] = [at(i + 1), at(i + 2)];
    return (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x) > 0;
  });
}
