import { normalSurvival, SQRT_TWO_PI } from "./normal.js";

export const LAYERS = 256;

/**
 * The layers of a ziggurat for the half normal f(x) = exp(−x²/2): `edge[i]` is the half-width of layer i, edge[1] = r
 * where the tail begins, edge[0] = v/f(r) the width a base layer of the common area v would have, edge[256] = 0;
 * `height[i]` = f(edge[i]). After G. Marsaglia and W. W. Tsang, J. Stat. Software 5(8), 2000.
 */
export interface Ziggurat {
  readonly edge: Float64Array;
  readonly height: Float64Array;
}

const f = (x: number): number => Math.exp((-x * x) / 2);
const areaFrom = (r: number): number => r * f(r) + SQRT_TWO_PI * normalSurvival(r);

/** Builds the layers: r is the root at which 255 layers of equal area just reach the top, found by bisection. */
export function buildZiggurat(): Ziggurat {
  let [low, high] = [3, 4];
  for (let step = 0; step < 60; step++) {
    const r = (low + high) / 2;
    if (topOf(stack(r), r) > 1) low = r;
    else high = r;
  }
  const edge = stack(high);
  edge[LAYERS] = 0;
  return { edge, height: edge.map((x, i) => (i === LAYERS ? 1 : f(x))) };
}

function stack(r: number): Float64Array {
  const edge = new Float64Array(LAYERS + 1);
  const area = areaFrom(r);
  edge[0] = area / f(r);
  edge[1] = r;
  for (let i = 2; i < LAYERS; i++) {
    const y = f(edge[i - 1]!) + area / edge[i - 1]!;
    edge[i] = y >= 1 ? 0 : Math.sqrt(-2 * Math.log(y));
  }
  return edge;
}

/** Height at which the last layer ends: 1 when the layers close exactly. */
function topOf(edge: Float64Array, r: number): number {
  const last = edge[LAYERS - 1]!;
  return last === 0 ? Infinity : f(last) + areaFrom(r) / last;
}
