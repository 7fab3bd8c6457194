import type { Job } from "../../model/job/job.js";
import { angleText, pieceLength, smallLength, stopLength } from "../../render/shop-numbers.js";
import type { JigPlan } from "./jig-plan.js";
import type { EitherWay } from "./needed-accuracy.js";

/** A size of a jig as it is written: the letter it has in the drawing, and how exact it must be. */
export interface JigSize {
  readonly key: JigSizeKey;
  readonly letter: string;
  /** mm; `null` for one that only the strip in your hand tells. */
  readonly mm: number | null;
  /** In short, for the drawing, and with the nearest mark of a rule. */
  readonly short: string;
  readonly size: string;
  readonly what: string;
  /** How exact it must be, and why. */
  readonly care: string;
}

export type JigSizeKey =
  | "wedge"
  | "rise"
  | "run"
  | "feet"
  | "grooveToCut"
  | "bed"
  | "groove"
  | "width"
  | "grooveWidth";

const LETTERS: Readonly<Record<JigSizeKey, string>> = {
  wedge: "A",
  rise: "B",
  run: "C",
  feet: "D",
  grooveToCut: "E",
  bed: "F",
  groove: "G",
  width: "H",
  grooveWidth: "K",
};

/** The sizes of a jig in the order of their letters. */
export function jigSizes(plan: JigPlan, { units }: Pick<Job, "units">): JigSize[] {
  const { wedge, bed, feet, ramp } = plan;
  const made = (key: JigSizeKey, mm: number | null, what: string, care: string): JigSize => ({
    key,
    letter: LETTERS[key],
    mm,
    what,
    care,
    short: mm === null ? "to fit" : pieceLength(mm, units),
    size: mm === null ? "to fit" : stopLength(mm, units),
  });
  const free = "free to choose";
  const onAccount =
    plan.runAccuracy === null
      ? "no joint depends on it"
      : `within ${smallLength(plan.runAccuracy, units)}, which is ${angleText(plan.runAccuracy * (Math.cos(ramp) ** 2 / wedge.rise))} of the ramp`;
  return [
    made("wedge", wedge.length, "wedge, length along the bed", free),
    made("rise", wedge.rise, "wedge, height of the guiding face", `${free}; C goes with it`),
    made(
      "run",
      wedge.run,
      `how far the face ${wedge.overhangs ? "overhangs" : "goes back"} over the height B: B × tan ${angleText(ramp)}`,
      onAccount,
    ),
    ...(feet === null
      ? []
      : [
          made(
            "feet",
            feet,
            "from the middle of one foot of the wedge to the middle of the other: a screw through each, a leaf (drawn black) under either",
            `within ${smallLength(feet / 100, units)}: a leaf then turns the ramp by 1 % more or less than is said here`,
          ),
        ]),
    ...(plan.stops.length === 0
      ? []
      : [
          made(
            "grooveToCut",
            bed.grooveToCut,
            "from the groove's end to where the face, carried on, crosses the strip's middle line",
            "free to choose; the sticks go with it",
          ),
        ]),
    made("bed", bed.thickness, "bed, thickness under the groove", free),
    made(
      "groove",
      bed.groove,
      `groove, depth: the strip and ${pieceLength(bed.clearance, units)}`,
      "the strip must stay below the bed",
    ),
    made("width", bed.width, "bed and wedge, width", free),
    made(
      "grooveWidth",
      bed.grooveWidth,
      "groove, width: the strip's depth and a sliding fit",
      bed.grooveWidth === null
        ? "the job names no depth: plane it to your strip"
        : "the strip slides and does not rock",
    ),
  ];
}

/** How far something may be off by itself, in words: `longer by up to 0.05 mm, shorter by up to 0.02 mm`. */
export function accuracyText(
  { more, less }: EitherWay,
  [above, below]: readonly [string, string],
  written: (value: number) => string,
): string {
  if (more === null && less === null) return "no joint depends on it";
  const each = [
    more === null ? null : `${above} by up to ${written(more)}`,
    less === null ? null : `${below} by up to ${written(less)}`,
  ].filter((text) => text !== null);
  const [a, b] = [more, less].map((value) => (value === null ? "" : written(value)));
  return a === b && a !== "" ? `${above} or ${below} by up to ${a}` : each.join(", ");
}

/** Where the fence of a jig bears, and what the drawing makes of it. */
export const FENCE_TEXT: Readonly<Record<JigPlan["fence"], string>> = {
  centred:
    "The fence is centred: packing of one thickness under and over the strip keeps its middle line at this height, whatever the strip's thickness; cut the groove deeper by that packing.",
  "long-side": "The fence bears on the long side of the bevel: that side lies on the floor of the groove.",
  "short-side":
    "The fence bears on the short side of the bevel: that side lies on the floor of the groove, and the face overhangs.",
};
