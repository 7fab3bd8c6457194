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

/** Something on a jig or set-up that can be moved, with every setting at hand, rising by change. */
export interface Adjuster {
  /** Index of the source it moves. */
  readonly source: number;
  readonly name: string;
  readonly kind: "shim" | "stop";
  readonly settings: readonly Setting[];
  /** Standard deviation that a re-setting brings, rad or mm. */
  readonly resetSd: number;
}

export const NO_MOVE: Setting = { change: 0, leaves: [], steps: 0 };

/** A leaf's own tolerance and seating, mm; common practice, no source. */
const LEAF_SD = 0.005;
/** Farthest a stop is moved, in prior standard deviations of its error. */
const FARTHEST = 5;

/** Setting nearestSetting to a wanted change, rad or mm; of two as near the first. */
export const nearestSetting = (settings: readonly Setting[], wanted: number): Setting =>
  settings.reduce((a, b) => (Math.abs(b.change - wanted) < Math.abs(a.change - wanted) ? b : a));

/** The unlocked adjusters of a job. */
export function adjustersOf(job: Job, sources: readonly Source[]): Adjuster[] {
  return sources.flatMap((source, index): Adjuster[] => {
    const { kind, of, round } = source.id;
    // What a known move missed by stays as it is.
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
      return { change: steps * step, leaves: [], steps };
    });
    // A stop set to the nearest step lies anywhere within half a step of it.
    return [{ source: index, name: of, kind: "stop", settings, resetSd: step / Math.sqrt(12) }];
  });
}

/** One leaf, or two together, at either end of the ramp. */
function shimSettings(base: number, leaves: readonly number[]): Setting[] {
  const stacks = [
    ...leaves.map((leaf) => [leaf]),
    ...leaves.flatMap((a, i) => leaves.slice(i + 1).map((b) => [a, b])),
  ];
  const byThickness = new Map<string, number[]>();
  for (const stack of stacks) {
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

const thicknessOf = (stack: readonly number[]): number => stack.reduce((sum, leaf) => sum + leaf, 0);
