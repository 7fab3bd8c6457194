import { at } from "../../core/numeric/dense.js";
import { openingShape } from "../../model/cell/opening-shape.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import type { LAP_WAYS } from "../../model/job/panel.js";
import { type GridPart, gridParts, lapDepth } from "../cutlist/index.js";

/** The laps of strips that are cut alike, as a sled is set for them; lengths mm. */
export interface LapPlan {
  readonly name: string;
  readonly count: number;
  /** Of the finished strip, tip to tip. */
  readonly length: number;
  /** Middle of each lap from the end that laps are counted from. */
  readonly places: readonly number[];
  /** From the strip's end to the near edge of the first lap, along the strip. */
  readonly firstEdge: number;
  /** From middle to middle; `null` where there is one lap. */
  readonly spacing: number | null;
  /** Width of a lap square across it, and along the strip: more where strips cross at 60°. */
  readonly width: number;
  readonly along: number;
  /** From lap to lap between their edges; `null` where there is one lap. */
  readonly between: number | null;
  /** From the middle of the last lap to the strip's other end. */
  readonly rest: number;
  /** First place, every spacing and the rest added up: the strip's length. */
  readonly sum: number;
  readonly depth: number | null;
  readonly layer: GridPart["layer"];
  /** Angle between the strips that cross, rad. */
  readonly crossing: number;
}

/** Setting a sled for the laps of a grid; lengths mm. */
export interface GridLaps {
  readonly way: (typeof LAP_WAYS)[number];
  readonly bundled: boolean;
  readonly strips: readonly LapPlan[];
  /** Standard deviation of one lap's place that the job states. */
  readonly place: number;
}

/** Spacings count as equal within this, mm. */
const SAME = 1e-6;
const THREE_WAY = Math.PI / 3;

/** The laps of a job's grid; `null` where the job has no panel, or straight strips leave no such cells, or there are no strips between the borders. */
export function gridLaps(job: Job): GridLaps | null {
  const grid = gridParts(job);
  const { panel } = job;
  if (grid === null || panel === null) return null;
  const crossing = openingShape(jobCell(job).walls)?.kind === "triangular" ? THREE_WAY : Math.PI / 2;
  const strips = grid.parts
    .filter(({ laps }) => laps.length > 0)
    .map((part) => lapPlan(part, { crossing, width: panel.laps.width, depth: lapDepth(job, part) }));
  const { way, bundled, place } = panel.laps;
  return strips.length === 0 ? null : { way, bundled, place, strips };
}

function lapPlan(
  { name, count, length, laps, layer }: GridPart,
  { crossing, width, depth }: Pick<LapPlan, "crossing" | "width" | "depth">,
): LapPlan {
  const along = width / Math.sin(crossing);
  const first = at(laps, 0);
  const last = at(laps, laps.length - 1);
  const steps = laps.slice(1).map((place, i) => place - at(laps, i));
  const spacing = steps[0] ?? null;
  if (spacing !== null && steps.some((step) => Math.abs(step - spacing) > SAME))
    throw new RangeError(`The laps of ${name} must be spaced alike; they are at ${laps.join(", ")} mm.`);
  const rest = length - last;
  return {
    name,
    count,
    length,
    places: laps,
    spacing,
    width,
    along,
    rest,
    depth,
    layer,
    crossing,
    firstEdge: first - along / 2,
    between: spacing === null ? null : spacing - along,
    sum: first + steps.reduce((sum, step) => sum + step, 0) + rest,
  };
}
