import { ASANOHA_ANGLES } from "./asanoha-square.js";
import type { Bench, BenchOptions } from "./benches/bench.js";
import { cornerBench } from "./benches/corner.js";
import { fanBench } from "./benches/fan.js";
import { mitrePairBench } from "./benches/mitre-pair.js";
import { straightedgeBench } from "./benches/straightedge.js";
import { LatticeError } from "./lattice-error.js";

/** Benches for trial pieces; `cell` (the whole cell) is the pattern itself. */
export const BENCH_NAMES = [
  "corner-90",
  "corner-45",
  "straightedge",
  "mitre-pair",
  "reversal",
  "ring",
] as const;
export type BenchName = (typeof BENCH_NAMES)[number];

/** Jig angle a bench asks for, rad; `null` where any will do. */
const WANTED: Record<BenchName, number | null> = {
  "corner-90": ASANOHA_ANGLES.point45,
  "corner-45": ASANOHA_ANGLES.point67,
  straightedge: null,
  "mitre-pair": null,
  reversal: ASANOHA_ANGLES.point45,
  ring: null,
};
const SAME_ANGLE = 1e-9;
const degrees = (angle: number): string => `${Number(((angle * 180) / Math.PI).toFixed(4))}°`;

/**
 * The bench of that name for a trial piece.
 *
 * @throws LatticeError when the strip is not a length greater than zero, or the bench does not suit the jig's angle.
 */
export function benchNamed(name: BenchName, options: BenchOptions): Bench {
  requireOptions(name, options);
  const wanted = WANTED[name];
  if (wanted !== null && Math.abs(options.jigAngle - wanted) > SAME_ANGLE) {
    throw new LatticeError(
      `The bench ${name} takes a point cut at ${degrees(wanted)}; this jig is labelled ${degrees(options.jigAngle)}.`,
    );
  }
  if (name === "corner-90" || name === "corner-45") return cornerBench(name, options);
  if (name === "straightedge") return straightedgeBench(options);
  if (name === "mitre-pair") return mitrePairBench(options);
  if (name === "reversal") return fanBench(name, 2, options);
  return fanBench(name, ringCount(options.jigAngle), options);
}

/** A steeper bevel would run off the trial stub, rad. */
const STEEPEST = (80 * Math.PI) / 180;
/** Bevels flatter than this make no mitre, rad. */
const FLATTEST_MITRE = Math.PI / 180;

function requireOptions(name: BenchName, { strip, jigAngle }: BenchOptions): void {
  if (!(Number.isFinite(strip) && strip > 0)) {
    throw new LatticeError(`The strip must be a length greater than zero; it is ${strip} mm.`);
  }
  const flattest = name === "mitre-pair" ? FLATTEST_MITRE : 0;
  if (!(jigAngle >= flattest && jigAngle <= STEEPEST)) {
    throw new LatticeError(
      `The bench ${name} takes a jig labelled from ${degrees(flattest)} to ${degrees(STEEPEST)}, counted from a square cut; this one is labelled ${degrees(jigAngle)}.`,
    );
  }
}

function ringCount(jigAngle: number): number {
  const count = (2 * Math.PI) / (Math.PI - 2 * jigAngle);
  const whole = Math.round(count);
  if (whole >= 3 && Math.abs(count - whole) < SAME_ANGLE) return whole;
  throw new LatticeError(
    `Points cut at ${degrees(jigAngle)} do not fill a full turn a whole number of times, so they make no ring. 45° takes four, 67.5° eight.`,
  );
}
