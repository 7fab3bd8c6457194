import { at } from "../../core/numeric/dense.js";
import { faceAlone, ownerNamed } from "../../model/cell/face-id.js";
import { jointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import { isAngleReading } from "../../model/readings.js";
import type { SourceId } from "../../model/source-id.js";
import { type CellOfJob, signWords, subjectNamer } from "../../render/shared-text.js";
import {
  angleText,
  chanceText,
  errorText,
  pieceLength,
  signed,
  smallLength,
} from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import type { Check, WeighedCheck } from "./candidate-checks.js";
import type { Closing } from "./closing.js";
import { causeText } from "./error-shares.js";
import type { CellExplained, JointExplained } from "./explain-cells.js";
import { type Chance, PRINTABLE, type SourceCause } from "./source-causes.js";
import type { Story } from "./stories.js";

// Phrases about causes, joints, remedies and checks that the answer, its tables and its drawings share.

/** `the ramp of point-67 cuts a blunter point than its label, −0.74° ± 0.07°`, or that its sign is not known. */
export function sourceSentence(
  { id, angular, sign, estimate, standardUncertainty, interval, sides }: SourceCause,
  { units }: Pick<Job, "units">,
): string {
  const amount = (value: number): string => signed(angular ? angleText(value) : smallLength(value, units));
  if (sides) {
    const { above, below } = sides;
    return `the ${sourceText(id)} is off, but not known which way (${amount(above.estimate)} or ${amount(below.estimate)})`;
  }
  if (sign === 0)
    return `the ${sourceText(id)} may be off (${amount(interval[0])} to ${amount(interval[1])})`;
  return `the ${sourceText(id)} ${saysText(id, sign)}, ${errorText(estimate, standardUncertainty, angular ? "angle" : "length", units)}`;
}

/** The effect of a positive or negative source, to follow its name: `cuts a blunter point than its label`, `is short`. */
function saysText(id: SourceId, sign: number): string {
  const [above, below] = signWords(id);
  const words = sign > 0 ? above : below;
  return id.kind === "ramp" ? words : `is ${words}`;
}

/** The name of a joint as makers say it. */
export function jointName(
  { cell: { part } }: CellExplained,
  { joint }: Pick<JointExplained, "joint">,
): string {
  const { cell } = part.specimen;
  const index = cell.joints.findIndex(({ name }) => name === joint);
  return at(jointNames(cell).short, index);
}

/** A story in words: `the stop of key-end is short, about −0.160 mm`; if either sign is possible, how far the source may be off. */
export function storyText({ causes }: Story, { units }: Pick<Job, "units">): string {
  if (causes.length === 0) return "nothing is off: the cuts only scatter";
  return causes
    .map(({ id, angular, size, standardUncertainty }) => {
      const text = (value: number): string => (angular ? angleText(value) : smallLength(value, units));
      if (Math.abs(size) < standardUncertainty / 2)
        return `the ${sourceText(id)} is off, by up to ${text(2 * standardUncertainty)} either way`;
      const amount = signed(text(size));
      return `the ${sourceText(id)} ${saysText(id, size)}, about ${amount}`;
    })
    .join("; and ");
}

/** `change the stop of key-end by +0.160 mm, cut hinge-2 anew`. */
export const remediesText = ({ remedies }: Closing, { units }: Pick<Job, "units">): string =>
  remedies
    .map(({ id, by }) => {
      if (by === null) return `cut ${id.of} anew`;
      const angular = id.kind === "ramp" || id.kind === "lean";
      return `change the ${causeText(id)} by ${signed(angular ? angleText(by) : smallLength(by, units))}`;
    })
    .join(", ");

/** A probability if it is known precisely enough to print; otherwise `null`. */
export const printedChance = ({ value, samplingError }: Chance): string | null =>
  samplingError <= PRINTABLE ? chanceText(value) : null;

/** A check as something to do. */
export function checkText(check: Check, job: CellOfJob): string {
  const { bench, setUp, what, subject, at, side, instrument } = check;
  const tool = `with ${instrument}`;
  if (what === "gap") {
    const joint = subjectNamer(job)(check);
    const where = side ? ` at the ${side}` : "";
    const gap =
      at === "widest"
        ? `read the widest gap of ${joint}${where} ${tool}`
        : `read the gap at the ${at} of ${joint}${where} ${tool}`;
    return `Cut ${PIECES[bench] ?? "a trial piece"} at ${setUp}, put ${PIECES[bench] ? "them" : "it"} on the bench ${bench}, and ${gap}.`;
  }
  if (what === "angle")
    return `Cut a trial piece at ${setUp} and read the angle of its cut ${subject} ${tool}.`;
  if (what === "ramp")
    return `Lay ${instrument} on the ramp of the jig ${subject} and read its angle from square.`;
  if (what === "shoulder") {
    const side = faceAlone(subject ?? "left");
    return `Measure ${kindOf(subject && ownerNamed(subject))} from shoulder to shoulder along its ${side} side ${tool}.`;
  }
  if (what === "length") return `Measure ${kindOf(subject)} tip to tip ${tool}.`;
  return `Measure the thickness of ${kindOf(subject)} ${tool}.`;
}

const PIECES: Readonly<Record<string, string>> = {
  reversal: "two points",
  "mitre-pair": "two mitred ends",
};

/** `hinge-1` is a hinge: any new one will do. */
const kindOf = (piece: string | null): string => `a new ${piece?.replace(/-\d+$/, "") ?? "piece"}`;

/** Predictions of the check under either story: median and central 90 % interval. */
export function foreseenTexts({ check, foreseen }: WeighedCheck, { units }: Job): [string, string] {
  const text = (value: number): string => {
    if (isAngleReading(check.what)) return angleText(value);
    return check.what === "gap" ? smallLength(Math.max(0, value), units) : pieceLength(value, units);
  };
  const range = ([low, middle, high]: readonly [number, number, number]): string =>
    text(low) === text(high) ? `about ${text(middle)}` : `${text(middle)} (${text(low)} to ${text(high)})`;
  return [range(foreseen[0]), range(foreseen[1])];
}
