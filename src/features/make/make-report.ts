import { extname } from "node:path";
import { UserError } from "../../core/errors.js";
import { writeFile } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import { loadJob } from "../../io/job/load-job.js";
import { jigSizes } from "./jig-sizes.js";
import { makeHtml } from "./make-html.js";
import { makeText } from "./make-text.js";
import { type Making, planMaking } from "./making.js";
import type { EitherWay } from "./needed-accuracy.js";

export interface MakeFlags {
  readonly json?: boolean;
  readonly details?: boolean;
  /** A file for the page. */
  readonly out?: string;
}

/** `sukima make JOBFOLDER`: the jigs to make, the laps of the grid, the order of fitting, glue and sanding. */
export function makeCommand(folder: string, { json, details = false, out }: MakeFlags, today: Date): string {
  if (out !== undefined && !/^\.html?$/i.test(extname(out)))
    throw new UserError(
      "usage",
      `The page cannot be written: --out must name a file ending in .html; got “${out}”. Write for example --out make.html`,
    );
  const making = planMaking(loadJob(folder));
  if (out !== undefined) writeFile(out, makeHtml(making, today.toISOString().slice(0, 10)));
  if (json) return JSON.stringify(makeJson(making), null, 1);
  const hint =
    out === undefined ? "With --out FILE.html: the drawings on one page to print." : `Written: ${out}`;
  return `${makeText(making, details)}\n${hint}`;
}

/** What is to be made as plain data for other programs: lengths in mm, angles in degrees. */
export function makeJson({ job, jigs, laps, steps, needed }: Making): object {
  const degrees = (rad: number): number => rad / DEGREE;
  const turned = ({ more, less }: EitherWay) => ({
    more: more === null ? null : degrees(more),
    less: less === null ? null : degrees(less),
  });
  return {
    job: job.title,
    limits: job.limits,
    jigs: jigs.map(({ ramp, fromBed, leaves, stops, accuracy, ...plan }) => ({
      ...plan,
      rampDegrees: degrees(ramp),
      fromBedDegrees: degrees(fromBed),
      accuracyDegrees: turned(accuracy),
      leaves: leaves.map(({ leaf, turn }) => ({ leaf, turnDegrees: degrees(turn) })),
      stops: stops.map(({ cut, piece, ...stop }) => ({ ...stop, cuts: cut.group, piece: piece.kind })),
      sizes: jigSizes({ ramp, fromBed, leaves, stops, accuracy, ...plan }, job).map(
        ({ letter, key, mm }) => ({
          letter,
          key,
          mm,
        }),
      ),
    })),
    laps: laps && {
      ...laps,
      strips: laps.strips.map(({ crossing, ...plan }) => ({ ...plan, crossingDegrees: degrees(crossing) })),
    },
    steps: steps.map(({ joints, ...step }) => ({ ...step, joints: joints.map(({ joint }) => joint.name) })),
    needed: {
      strip: needed.strip,
      opening: needed.opening,
      rackingDegrees: turned(needed.racking),
    },
  };
}
