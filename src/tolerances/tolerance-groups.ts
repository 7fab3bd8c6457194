import { THICKNESS_SOURCE } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import type { ToleranceGoal } from "../job/tolerance-goal.js";
import type { OutlookSources, SourceGroup } from "../outlook/outlook-sources.js";

/** A tolerance that may be made finer or looser. */
export interface ToleranceGroup {
  /** As the sources of error are named. */
  readonly name: string;
  readonly kind: keyof ToleranceGoal["costs"];
  /** Cost at today's tolerance. */
  readonly cost: number;
  readonly group: SourceGroup;
}

/** Every tolerance of a job that has a cost, and the names of the sources that stay as they are. */
export function toleranceGroups(
  { costs }: ToleranceGoal,
  { groups }: OutlookSources,
): { free: ToleranceGroup[]; fixed: string[] } {
  const free: ToleranceGroup[] = [];
  const fixed: string[] = [];
  for (const group of groups) {
    const kind = kindOf(group);
    const cost = kind && costs[kind];
    if (kind === null || cost === null) fixed.push(group.name);
    else free.push({ name: group.name, kind, cost: cost!, group });
  }
  return { free, fixed };
}

const SCATTERS = {
  angle: "angles from cut to cut",
  length: "lengths from cut to cut",
  thickness: "thickness from piece to piece",
} as const;
const GRID = "the grid's walls";

function kindOf({ name }: SourceGroup): keyof ToleranceGoal["costs"] | null {
  if (name.startsWith("ramp of ")) return "ramps";
  if (name.startsWith("stop of ")) return "stops";
  if (name === THICKNESS_SOURCE) return "thickness";
  if (name === GRID) return "grid";
  return Object.values(SCATTERS).some((scatter) => scatter === name) ? "cuts" : null;
}

/** The job with its tolerances multiplied; sources without a factor stay as they are. */
export function withTolerances(job: Job, factors: ReadonlyMap<string, number>): Job {
  const factor = (name: string): number => factors.get(name) ?? 1;
  const { scatter, grid } = job;
  return {
    ...job,
    jigs: job.jigs.map((jig) => ({ ...jig, trustedTo: jig.trustedTo * factor(`ramp of ${jig.name}`) })),
    setUps: job.setUps.map((setUp) => ({
      ...setUp,
      stop: setUp.stop && {
        ...setUp.stop,
        trustedTo: setUp.stop.trustedTo * factor(`stop of ${setUp.name}`),
      },
    })),
    batchThickness: job.batchThickness * factor(THICKNESS_SOURCE),
    grid: { offset: grid.offset * factor(GRID), turn: grid.turn * factor(GRID) },
    scatter: {
      ...scatter,
      angle: scatter.angle * factor(SCATTERS.angle),
      length: scatter.length * factor(SCATTERS.length),
      thickness: scatter.thickness * factor(SCATTERS.thickness),
    },
  };
}
