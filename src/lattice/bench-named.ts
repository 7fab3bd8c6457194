import type { Bench, BenchOptions } from "./benches/bench.js";
import { cornerBench } from "./benches/corner.js";
import { fanBench } from "./benches/fan.js";
import { mitrePairBench } from "./benches/mitre-pair.js";
import { straightedgeBench } from "./benches/straightedge.js";
import { LatticeError } from "./lattice-error.js";

/**
 * A bench for a trial piece: `corner-90` is a reference corner of 90° for a point of two equal cuts, `corner-36.87` one of 36.87°.
 * `cell` (the whole cell) is the pattern itself.
 */
export type BenchName = `corner-${number}` | "straightedge" | "mitre-pair" | "reversal" | "ring";

/** The benches of the square asanoha; those of any pattern are told by `benchNames`. */
export const BENCH_NAMES = [
  "corner-90",
  "corner-45",
  "straightedge",
  "mitre-pair",
  "reversal",
  "ring",
] as const satisfies readonly BenchName[];

const SAME_ANGLE = 1e-9;
const degrees = (angle: number): string => `${Number(((angle * 180) / Math.PI).toFixed(4))}°`;

/** The corner that a point with two cuts of this jig angle (rad) fits, named to a hundredth of a degree. */
export const cornerName = (jigAngle: number): `corner-${number}` =>
  `corner-${Number((180 - (360 * jigAngle) / Math.PI).toFixed(2))}`;

/** Jig angle that a bench asks for, rad; `null` where any will do. */
function wantedBy(name: BenchName): number | null {
  if (name === "reversal") return Math.PI / 4;
  return name.startsWith("corner-") ? ((180 - Number(name.slice(7))) * Math.PI) / 360 : null;
}

/**
 * The bench of that name for a trial piece.
 *
 * @throws LatticeError when the strip is not a length greater than zero, or the bench does not suit the jig's angle.
 */
export function benchNamed(name: BenchName, options: BenchOptions): Bench {
  requireOptions(name, options);
  const wanted = wantedBy(name);
  const suits =
    name === "reversal"
      ? Math.abs(options.jigAngle - wanted!) <= SAME_ANGLE
      : cornerName(options.jigAngle) === name;
  if (wanted !== null && !suits) {
    throw new LatticeError(
      `The bench ${name} takes a point cut at ${degrees(wanted)}; this jig is labelled ${degrees(options.jigAngle)}.`,
    );
  }
  if (name.startsWith("corner-")) return cornerBench(name, options);
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
