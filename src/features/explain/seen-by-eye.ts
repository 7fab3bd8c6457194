import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import type { Cell, PanelSide } from "../../model/cell/cell.js";
import { jointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import type { Instrument, Place, Reading } from "../../model/readings.js";

/** What can be said of a joint without an instrument. `tight`: it has to be forced, so the faces are pressed. */
export const SEEN = ["open", "closed", "tight"] as const;
/** What an eye says of a joint; see {@link SEEN}. */
export type Seen = (typeof SEEN)[number];

/** The gap above which an eye calls a joint open, and the standard deviation of that threshold, mm; from memory: one minute of arc is 0.087 mm at 300 mm, but a dark line against light is visible well below that. */
export const EYE = { opens: 0.05, spread: 0.02 } as const;

/** What an eye sees at one end of a joint. */
export interface Sight {
  /** A joint's full name, a part of it that no other joint has, or its name in words: `hinge-1 mitre`. */
  readonly joint: string;
  readonly at: Place;
  readonly seen: Seen;
  /** The side of the panel where it was seen, if a ramp may lean; default the front. */
  readonly side?: PanelSide;
}

/** The cell that was inspected: the trial of its other readings, and the round it was cut in; the last one by default. */
export interface CellLookedAt {
  readonly trial: string;
  readonly round?: string | null;
}

const NAME = "eye";

/**
 * The job with an eye among its instruments.
 *
 * @example
 * withEye(job).instruments.length - job.instruments.length // 1
 */
export function withEye(job: Job): Job {
  const eye: Instrument = {
    name: NAME,
    reads: ["gap"],
    reach: ["toe", "heel", "widest"],
    leaves: [EYE.opens],
    resolution: null,
    repeatability: EYE.spread,
    bias: 0,
    biasPriorSd: 0,
  };
  return { ...job, instruments: [...withoutEye(job).instruments, eye] };
}

/** The job with only the instruments that it names, without the eye: the tool asks only for readings that can be written down. */
export const withoutEye = (job: Job): Job => ({
  ...job,
  instruments: job.instruments.filter(({ name }) => name !== NAME),
});

/**
 * Converts what was seen in one cell to readings of the eye: open is a gap above {@link EYE}, closed a smaller gap or none, tight a press beyond the job's snug limit.
 *
 * @throws UserError (code "explanation") for a joint that the cell does not have, a part of a name that more than one has, or a side where nothing leans.
 * @example
 * seenByEye(withEye(job), jobCell(job), [{ joint: "hinge-1.start-left", at: "toe", seen: "open" }])[0].instrument // "eye"
 */
export function seenByEye(
  job: Job,
  cell: Cell,
  sights: readonly Sight[],
  { trial, round = job.rounds.at(-1)?.name ?? null }: CellLookedAt = { trial: "seen" },
): Reading[] {
  return sights.map(({ joint, at, seen, side }, i) => ({
    id: `${trial} seen ${i + 1}`,
    line: 0,
    trial,
    round,
    setUp: null,
    bench: "cell",
    what: "gap",
    subject: jointNamed(cell, joint),
    at,
    instrument: NAME,
    ...sideSeen(cell, side),
    value: null,
    note: seen,
    low: seen === "open" ? EYE.opens : Number.NEGATIVE_INFINITY,
    high: seen === "open" ? Number.POSITIVE_INFINITY : seen === "closed" ? EYE.opens : -job.limits.snug,
  }));
}

function sideSeen({ depth }: Cell, side: PanelSide | undefined): Pick<Reading, "side"> {
  if (depth !== undefined) return { side: side ?? "front" };
  if (side === undefined) return {};
  throw new UserError(
    "explanation",
    `--saw: the ${side} cannot be told apart: nothing leans in this job, so front and back are alike; leave the side out, or give the job a depth and a jig its lean-trusted-to.`,
  );
}

function jointNamed(cell: Cell, typed: string): string {
  const { joints, name } = cell;
  const found = jointNames(cell).meant(typed);
  const containing = joints.map((joint) => joint.name).filter((joint) => joint.includes(typed));
  const near = found.length > 0 ? found : containing;
  if (near.length === 1) return at(near, 0);
  const { short } = jointNames(cell);
  const some = joints
    .flatMap((joint, j) => (near.length === 0 || near.includes(joint.name) ? [at(short, j)] : []))
    .join(", ");
  throw new UserError(
    "explanation",
    near.length === 0
      ? `--saw: there is no joint “${typed}” in ${name}; its joints are ${some}.`
      : `--saw: the joint “${typed}” is not clear: its name must fit one joint only; it fits ${some}.`,
  );
}

/**
 * Readings still to be taken of every joint of a cell, at these places, with one instrument.
 *
 * @example
 * cellPlan(jobCell(job), job.instruments[0]).every(({ what }) => what === "gap") // true
 */
export function cellPlan(
  cell: Cell,
  instrument: Job["instruments"][number],
  places: readonly Place[] = ["widest"],
): Reading[] {
  let count = 0;
  return cell.joints.flatMap(({ name }) =>
    places.map(
      (at): Reading => ({
        id: `g${++count}`,
        line: 0,
        trial: "cell",
        round: null,
        setUp: null,
        bench: "cell",
        what: "gap",
        subject: name,
        at,
        instrument: instrument.name,
        note: "",
        value: null,
        low: Number.NEGATIVE_INFINITY,
        high: Number.POSITIVE_INFINITY,
      }),
    ),
  );
}
