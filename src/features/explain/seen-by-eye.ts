import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import type { Cell, PanelSide } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import type { Instrument, Place, Reading } from "../../model/readings.js";

/** What can be said of a joint without an instrument. `tight`: it must be forced, the faces press. */
export const SEEN = ["open", "closed", "tight"] as const;
/** What an eye says of a joint; see {@link SEEN}. */
export type Seen = (typeof SEEN)[number];

/** A gap an eye calls open, and how unsure it is of that, mm; from memory: one minute of arc is 0.087 mm at 300 mm, but a dark line against light is seen well below that. */
export const EYE = { opens: 0.05, spread: 0.02 } as const;

/** What an eye sees at one end of a joint. */
export interface Sight {
  /** A joint's full name, or a part of it that no other joint has. */
  readonly joint: string;
  readonly at: Place;
  readonly seen: Seen;
  /** The side of the panel it was seen at, where a ramp may lean; default the front. */
  readonly side?: PanelSide;
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
    ...{ name: NAME, reads: ["gap"], reach: ["toe", "heel", "widest"], leaves: [EYE.opens] },
    ...{ resolution: null, repeatability: EYE.spread, bias: 0, biasPriorSd: 0 },
  };
  return { ...job, instruments: [...job.instruments.filter(({ name }) => name !== NAME), eye] };
}

/**
 * What was seen in one cell as readings of the eye: open is a gap above {@link EYE}, closed one below or none, tight a press beyond the job's snug limit.
 *
 * @throws UserError (code "explanation") for a joint that the cell does not have, a part of a name that more than one has, or a side where nothing leans.
 * @example
 * seenByEye(withEye(job), jobCell(job), [{ joint: "hinge-1.start-left", at: "toe", seen: "open" }])[0].instrument // "eye"
 */
export function seenByEye(job: Job, cell: Cell, sights: readonly Sight[], trial = "seen"): Reading[] {
  return sights.map(({ joint, at, seen, side }, i) => ({
    ...{ id: `${trial}-${i + 1}`, line: 0, trial, round: job.rounds.at(-1)?.name ?? null, setUp: null },
    ...{ bench: "cell", what: "gap", subject: jointNamed(cell, joint), at, instrument: NAME },
    ...sideSeen(cell, side),
    ...{ value: null, note: seen },
    low: seen === "open" ? EYE.opens : Number.NEGATIVE_INFINITY,
    high: seen === "open" ? Number.POSITIVE_INFINITY : seen === "closed" ? EYE.opens : -job.limits.snug,
  }));
}

function sideSeen({ depth }: Cell, side: PanelSide | undefined): Pick<Reading, "side"> {
  if (depth !== undefined) return { side: side ?? "front" };
  if (side === undefined) return {};
  throw new UserError(
    "explanation",
    `The ${side} cannot be told apart: nothing leans in this job, so front and back are alike; leave the side out, or give the job a depth and a jig its lean-trusted-to.`,
  );
}

function jointNamed({ joints, name }: Cell, typed: string): string {
  const found = joints.filter((joint) => joint.name === typed);
  const near = found.length > 0 ? found : joints.filter((joint) => joint.name.includes(typed));
  if (near.length === 1) return at(near, 0).name;
  const some = (near.length > 0 ? near : joints).map((joint) => joint.name).join(", ");
  throw new UserError(
    "explanation",
    near.length === 0
      ? `There is no joint “${typed}” in ${name}; its joints are ${some}.`
      : `The joint “${typed}” is not clear: its name must fit one joint only; it fits ${some}.`,
  );
}

/**
 * Every joint of a cell to be read at these places with one instrument; nothing read yet.
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
        ...{
          id: `g${++count}`,
          line: 0,
          trial: "cell",
          round: null,
          setUp: null,
          bench: "cell",
          what: "gap",
        },
        ...{ subject: name, at, instrument: instrument.name, note: "" },
        ...{ value: null, low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY },
      }),
    ),
  );
}
