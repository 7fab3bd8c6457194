import type { Job } from "../../model/job/job.js";
import { answerText } from "../../render/cautions.js";
import { angleText, pieceLength, smallLength } from "../../render/shop-numbers.js";
import { textTable, wrapped } from "../../render/text.js";
import { stickText } from "./jig-drawing.js";
import type { JigPlan } from "./jig-plan.js";
import { accuracyText, FENCE_TEXT, jigSizes } from "./jig-sizes.js";
import { lapShort, sledSteps, slotText, sumText } from "./lap-sentences.js";
import type { Making } from "./making.js";
import { FINISHING, FINISHING_MARK, gridChecks, kindsText, stepChecks, stepTitle } from "./step-sentences.js";

/** Most lines of the table of jigs before the rest is left to the details. */
const MOST_ROWS = 4;

/** What is to be made, for reading in a terminal. */
export function makeText(making: Making, details: boolean): string {
  const { job, jigs, steps } = making;
  const { units } = job;
  const order = ["the grid", ...steps.map(kindsText)].join("; then ");
  const shown = jigs.slice(0, MOST_ROWS);
  const hidden = jigs.slice(MOST_ROWS).map(({ name }) => name);
  const answer = [
    `TO MAKE: ${job.title}`,
    textTable(
      ["jig", "face to bed", "over a height of", "goes back", "sticks for its stops"],
      shown.map(({ name, fromBed, wedge, stops }) => [
        name,
        angleText(fromBed),
        pieceLength(wedge.rise, units),
        pieceLength(wedge.run, units),
        stops.map(({ stick }) => pieceLength(stick, units)).join(", ") || "none, cut to a mark",
      ]),
      [1, 2, 3],
    ),
    ...(hidden.length === 0 ? [] : [`and ${hidden.join(", ")}: --details or --out has them.`]),
    ...lapsAnswer(making),
    wrapped(
      `Fit dry, in this order: ${order}. A leaf of ${smallLength(job.limits.gap, units)} must not go into a joint.`,
    ),
  ];
  return answerText({ answer, details: detailLines(making), wanted: details });
}

/** The laps of two kinds of strips in a line each; the rest counted. */
function lapsAnswer({ laps, job }: Making): string[] {
  if (laps === null) return [wrapped(LAPS_MISSING(job))];
  const { strips } = laps;
  const more = strips.length > 2 ? [`${strips.length - 2} more kinds of strips: see --details.`] : [];
  return [...strips.slice(0, 2).map((plan) => `${plan.name}: ${lapShort(plan, job.units)}.`), ...more].map(
    (line) => wrapped(`Laps, ${line}`),
  );
}

/** Said where no laps are to be set. */
export const LAPS_MISSING = ({ panel, pattern }: Pick<Job, "panel" | "pattern">): string =>
  panel === null
    ? "Laps: the job has no section panel, so there is no grid to set a sled for. Write for example panel: { rows: 3, columns: 4 } into job.yaml."
    : `Laps: there are none to set here. Either the panel has one cell, or straight strips that cross leave no cells such as those of ${pattern}.`;

/** What a maker should know of a jig beside its sizes. */
export function jigNotes(plan: JigPlan, { units }: Pick<Job, "units">): string[] {
  const small = (mm: number): string => smallLength(mm, units);
  const turns = plan.leaves.map(({ leaf, turn }) => `${small(leaf)} by ${angleText(turn)}`);
  return [
    `The ramp may cut ${accuracyText(plan.accuracy, ["sharper", "blunter"], angleText)} by itself before that uses half of a limit, all else being right.`,
    FENCE_TEXT[plan.fence],
    ...(plan.feet === null
      ? ["The ramp is locked: screw it down once its angle is right."]
      : [
          `A leaf under the ${plan.wedge.overhangs ? "heel" : "toe"} of the wedge makes the point sharper (on the card: under the end that the strip leans towards), one under the ${plan.wedge.overhangs ? "toe" : "heel"} blunter. The toe is the end at the cut. After a leaf, cut a trial piece again: the turn moves the cut along the strip as well.`,
          ...(turns.length === 0 ? [] : [`Your leaves turn the ramp: ${turns.join(", ")}.`]),
        ]),
    ...(plan.toAMark.length === 0
      ? []
      : [`Without a stick, cut to a mark: ${plan.toAMark.join(", ")}. Push the strip through from behind.`]),
    ...(plan.stops.length === 0
      ? []
      : [
          "Cut each stick a little long and shorten it until the first trial piece has its length; a strip of paper or a leaf behind a stick makes the piece shorter.",
        ]),
    "Draw the angle by height and run rather than with a protractor, and hold it to a trial piece, not to the jig.",
    "Square across: the face must stand square to the sides of the groove, or the cut leans.",
  ];
}

function detailLines(making: Making): string[] {
  const { job, jigs, laps, steps, needed } = making;
  const { units } = job;
  const bullets = (texts: readonly string[]): string[] => texts.map((text) => wrapped(`- ${text}`, 96, "  "));
  const jigLines = jigs.flatMap((plan) => [
    `JIG ${plan.name}, ${angleText(plan.ramp)} from a square cut, ${angleText(plan.fromBed)} to the bed`,
    ...jigSizes(plan, job).map(({ letter, size, what, care }) =>
      wrapped(`${letter}  ${size}: ${what} (${care})`, 96, "  "),
    ),
    ...plan.stops.map((stop) =>
      wrapped(
        `${stickText(stop, units)} It may be ${accuracyText(stop.accuracy, ["longer", "shorter"], (mm) => smallLength(mm, units))} by itself.`,
      ),
    ),
    ...bullets(jigNotes(plan, job)),
    "",
  ]);
  const lapLines =
    laps === null
      ? []
      : [
          "THE LAPS OF THE GRID",
          ...laps.strips.map((plan) =>
            wrapped(
              `${plan.name}, ${plan.count} of them: ${lapShort(plan, units)}; ${slotText(plan, units)}. Sum: ${sumText(plan, units)}.`,
            ),
          ),
          ...bullets(sledSteps(laps, job, needed)),
          "",
        ];
  return [
    ...jigLines,
    ...lapLines,
    "THE ORDER OF FITTING",
    "First the grid",
    ...bullets(gridChecks(job, needed)),
    ...steps.flatMap((step) => [stepTitle(step), ...bullets(stepChecks(step, job))]),
    "",
    `GLUE AND SANDING (${FINISHING_MARK.replace(".", "").toLowerCase()})`,
    ...bullets(FINISHING),
    "",
    wrapped(
      "This way to build a jig, the free sizes and the half of a limit that an error may use are our own or common practice, no source. What an error does to the joints is computed from the job at first order.",
    ),
  ];
}
