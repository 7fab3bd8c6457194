import type { Job } from "../../model/job/job.js";
import { angleText, pieceLength, smallLength, stopLength } from "../../render/shop-numbers.js";
import { lapDepthText } from "../cutlist/index.js";
import { smaller } from "./jig-plan.js";
import type { GridLaps, LapPlan } from "./lap-plan.js";
import type { NeededAccuracy } from "./needed-accuracy.js";

type Units = Job["units"];

/** `62.00 mm + 3 × 64.00 mm + 62.00 mm = 316.00 mm`: the sum that the laps of a strip must make. */
export function sumText({ places, spacing, rest, sum }: LapPlan, units: Units): string {
  const size = (mm: number): string => pieceLength(mm, units);
  const steps = spacing === null ? "" : `${places.length - 1} × ${size(spacing)} + `;
  return `${size(places[0] ?? 0)} + ${steps}${size(rest)} = ${size(sum)}`;
}

/** What one strip's laps are, in short: `4 laps, the first 62.00 mm from the end, then every 64.00 mm`. */
export function lapShort({ places, spacing }: LapPlan, units: Units): string {
  const first = pieceLength(places[0] ?? 0, units);
  return spacing === null
    ? `1 lap, ${first} from the end`
    : `${places.length} laps, the first ${first} from the end, then every ${pieceLength(spacing, units)}`;
}

/** How a slot is cut: its width and depth, and at 60° its width along the strip. */
export function slotText(plan: LapPlan, units: Units): string {
  const slanted =
    plan.along - plan.width > 1e-6
      ? `, cut at ${angleText(plan.crossing)} to the strip, ${pieceLength(plan.along, units)} along it`
      : "";
  return `slot ${pieceLength(plan.width, units)} wide${slanted}, deep ${lapDepthText(plan, units)}`;
}

/** How the sled is set, step by step, for the way in which the job places its laps. */
export function sledSteps(
  { way, bundled, strips, place }: GridLaps,
  job: Job,
  needed: NeededAccuracy,
): string[] {
  const { units } = job;
  const opening = smaller(needed.opening);
  const most = Math.max(...strips.map(({ places }) => places.length));
  const each = strips.map((plan) =>
    way === "stop" ? `${plan.name}: ${stopSetting(plan, units)}` : `${plan.name}: ${keySetting(plan, units)}`,
  );
  return [
    way === "stop"
      ? "Every lap is cut against one stop. Set the stop for the last lap, and lay spacers one spacing long between the stop and the strip's end: one fewer for each lap further out."
      : "Each lap is indexed from the lap before: the first against a stop, then the slot just cut goes over a key fixed to the sled.",
    ...each,
    ...(bundled
      ? ["All strips of a direction are cut at once, side by side: clamp them so that their ends are flush."]
      : []),
    ...(opening === null
      ? []
      : [
          `Spacing: an opening that is off by ${smallLength(opening, units)} uses half of a limit by itself, so a spacer should be within ${smallLength(opening, units)} of its length. Cut all spacers to one setting and compare them with each other.`,
        ]),
    way === "stop"
      ? `The job says that one lap is placed to ${smallLength(place, units)} (two times in three). ${most > 2 ? `Errors of the spacers add up: ${most - 1} that are each ${smallLength(0.01, units)} too long put the first lap ${smallLength((most - 1) * 0.01, units)} off.` : ""}`.trim()
      : `The job says that one lap is placed to ${smallLength(place, units)} (two times in three) from the lap before. Over ${most} laps that grows to ${smallLength(place * Math.sqrt(most), units)}, and a key that is ${smallLength(0.01, units)} off puts the last lap ${smallLength((most - 1) * 0.01, units)} off.`,
    `Try the slot on an offcut of the strips: it is right when a strip goes in by hand and does not drop out. Its width in the job leaves ${smallLength(Math.max(0, job.panel === null ? 0 : job.panel.laps.width - job.strip), units)} of play.`,
    "Check the sum on the first strip before you cut the others: its laps and both ends must add up to its length.",
  ];
}

/** `1 spacer`, `3 spacers`. */
export const spacers = (count: number): string => `${count} spacer${count === 1 ? "" : "s"}`;

function stopSetting(plan: LapPlan, units: Units): string {
  const last = plan.places.at(-1) ?? 0;
  const edge = stopLength(last - plan.along / 2, units);
  const laid =
    plan.spacing === null
      ? "one lap, no spacer"
      : `${spacers(plan.places.length - 1)} of ${stopLength(plan.spacing, units)}`;
  return `stop ${pieceLength(last, units)} from the middle of the slot (${edge} from its near edge); ${laid}; ${slotText(plan, units)}.`;
}

function keySetting(plan: LapPlan, units: Units): string {
  const first = `first lap with its near edge ${stopLength(plan.firstEdge, units)} from the strip's end`;
  const key =
    plan.between === null
      ? ""
      : `; key ${pieceLength(plan.along, units)} wide, ${stopLength(plan.between, units)} clear between key and slot`;
  return `${first}${key}; ${slotText(plan, units)}.`;
}
