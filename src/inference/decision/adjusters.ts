import type { Job } from "../../model/job/job.js";
import { jigNamed, setUpNamed } from "../../model/shop.js";
import type { Source } from "../../model/sources.js";

/** A move that an adjuster can really make. */
export interface Setting {
  /** Change of the source, rad (steeper +) or mm (longer +). */
  readonly change: number;
  /** Leaves pushed in, mm; empty for a stop or for no move. */
  readonly leaves: readonly number[];
  /** Number of steps of the stop, longer +; 0 for a ramp. */
  readonly steps: number;
}

/** Something on a jig or set-up that can be moved, with all its available settings, sorted by ascending change. */
export interface Adjuster {
  /** Index of the source it moves. */
  readonly source: number;
  readonly name: string;
  readonly kind: "shim" | "stop";
  readonly settings: readonly Setting[];
  /** Standard deviation of the error of a re-setting, rad or mm; for a shim, the standard deviation of each leaf. */
  readonly resetSd: number;
}

/** Standard deviation of the error of a setting, rad or mm: each leaf of a shim has its own error; 0 if nothing is moved. */
export const resetSdOf = ({ resetSd }: Adjuster, { change, leaves }: Setting): number =>
  change === 0 ? 0 : resetSd * Math.sqrt(Math.max(1, leaves.length));

export const NO_MOVE: Setting = { change: 0, leaves: [], steps: 0 };

/** Standard deviation of a leaf's thickness and seating, mm; common practice, no source. */
const LEAF_SD = 0.005;
/** Farthest a stop is moved, in prior standard deviations of its error. */
const FARTHEST = 5;

/** The setting nearest to a wanted change, rad or mm; the first of two that are equally near. */
export const nearestSetting = (settings: readonly Setting[], wanted: number): Setting =>
  settings.reduce((a, b) => (Math.abs(b.change - wanted) < Math.abs(a.change - wanted) ? b : a));

/** The unlocked adjusters of a job. */
export function adjustersOf(job: Job, sources: readonly Source[]): Adjuster[] {
  return sources.flatMap((source, index): Adjuster[] => {
    const { kind, of, round } = source.id;
    // The re-setting error of a known move cannot be adjusted.
    if (round !== undefined) return [];
    if (kind === "ramp") {
      const shims = jigNamed(job, of).shims;
      if (!shims) return [];
      const settings = shimSettings(shims.base, shims.leaves);
      return [{ source: index, name: of, kind: "shim", settings, resetSd: LEAF_SD / shims.base }];
    }
    const step = kind === "stop" ? setUpNamed(job, of).stop?.step : null;
    if (!step) return [];
    const { priorMean = 0, priorSd } = source;
    const most = Math.max(1, Math.ceil((Math.abs(priorMean) + FARTHEST * priorSd) / step));
    const settings = Array.from({ length: 2 * most + 1 }, (_, i): Setting => {
      const steps = i - most;
      return steps === 0 ? NO_MOVE : { change: steps * step, leaves: [], steps };
    });
    // A stop set to the nearest step lies anywhere within half a step of it.
    return [{ source: index, name: of, kind: "stop", settings, resetSd: step / Math.sqrt(12) }];
  });
}

/** Most leaves put under a ramp together. */
const MOST_LEAVES = 3;

/** Stacks of up to {@link MOST_LEAVES} leaves at either end of the ramp; of two stacks of equal thickness, the one with fewer leaves. */
function shimSettings(base: number, leaves: readonly number[]): Setting[] {
  const byThickness = new Map<string, readonly number[]>();
  for (const stack of stacksOf(leaves)) {
    const key = thicknessOf(stack).toFixed(6);
    if (!byThickness.has(key)) byThickness.set(key, stack);
  }
  const turns = [...byThickness.values()].map((stack) => ({
    stack,
    turn: Math.atan(thicknessOf(stack) / base),
  }));
  return [
    ...turns.map(({ stack, turn }): Setting => ({ change: -turn, leaves: stack, steps: 0 })),
    NO_MOVE,
    ...turns.map(({ stack, turn }): Setting => ({ change: turn, leaves: stack, steps: 0 })),
  ].sort((a, b) => a.change - b.change);
}

/** Every stack of different leaves, those of fewer leaves first. */
function stacksOf(leaves: readonly number[]): number[][] {
  let longest = leaves.map((leaf, i) => ({ stack: [leaf], last: i }));
  const all = longest.map(({ stack }) => stack);
  for (let n = 2; n <= MOST_LEAVES; n++) {
    longest = longest.flatMap(({ stack, last }) =>
      leaves.slice(last + 1).map((leaf, i) => ({ stack: [...stack, leaf], last: last + 1 + i })),
    );
    all.push(...longest.map(({ stack }) => stack));
  }
  return all;
}

const thicknessOf = (stack: readonly number[]): number => stack.reduce((sum, leaf) => sum + leaf, 0);
