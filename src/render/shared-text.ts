import type { SourceEstimate } from "../inference/estimates/fit-sources.js";
import type { Side } from "../inference/estimates/identifiability.js";
import type { Cell } from "../model/cell/cell.js";
import { facesNamed, jointText } from "../model/cell/face-id.js";
import { shortJointNames } from "../model/cell/joint-names.js";
import type { Job } from "../model/job/job.js";
import { jobCell } from "../model/job/job-cell.js";
import type { Reading, ReadQuantity } from "../model/readings.js";
import type { SourceId, SourceKind } from "../model/source-id.js";
import { angleText, chanceText, errorText, pieceLength, smallLength, stopLength } from "./shop-numbers.js";
import { sourceText } from "./source-text.js";

// Sentences and phrases about a job and its calibration that several features print; text.ts has the layout of any text (tables, wrapping).

type Units = Pick<Job, "units">;

/** What a source of either sign does: what is said first, the word for + and for −, and what follows. */
const SIGN_WORDS: Readonly<Record<SourceKind, readonly [string, string, string, string]>> = {
  lean: ["out at the ", "front", "back", ""],
  ramp: ["cuts a ", "sharper", "blunter", " point than its label"],
  stop: ["", "long", "short", ""],
  thickness: ["", "thick", "thin", ""],
  bias: ["reads ", "high", "low", ""],
  reference: ["", "above zero", "below zero", ""],
};
const PLAIN_WORDS = ["", "above zero", "below zero", ""] as const;

const wordsOf = ({ kind, round }: SourceId): readonly [string, string, string, string] =>
  round === undefined ? SIGN_WORDS[kind] : PLAIN_WORDS;

/** What an error of either sign does, for one above and for one below zero: `cuts a sharper point than its label`. */
export function signWords(id: SourceId): readonly [above: string, below: string] {
  const [before, above, below, after] = wordsOf(id);
  return [`${before}${above}${after}`, `${before}${below}${after}`];
}

/** The same as the title of an axis: `Cuts a sharper (+) or blunter (−) point than its label`. */
export function signAxis(id: SourceId): string {
  const [before, above, below, after] = wordsOf(id);
  const text = `${before}${above} (+) or ${below} (−)${after}`;
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** An error that may be on either side of zero, `+0.47° or −0.46° (± 0.12°)`, as it stands after the known moves; U = 2·u of the wider side. `null` where its sign is told. */
export function sidedError(source: SourceEstimate, { units }: Units): string | null {
  const { sides, current, estimate, angular } = source;
  if (!sides) return null;
  const u = Math.max(sides.above.standardUncertainty, sides.below.standardUncertainty);
  const written = ({ estimate: at }: Side): [string, string] => {
    const [value = "", U = ""] = errorText(
      at + current.estimate - estimate,
      u,
      angular ? "angle" : "length",
      units,
    ).split(" ± ");
    return [value, U];
  };
  const [above, U] = written(sides.above);
  const [below] = written(sides.below);
  return `${above} or ${below} (± ${U})`;
}

/** That the readings leave signs open, what that means, and what to read: a sentence for the leans, one for each other source; none where all signs are told. */
export function unidentifiedSignTexts(sources: readonly SourceEstimate[], job: Units): string[] {
  const open = sources.filter(({ sides }) => sides !== null);
  const leans = open.filter(({ id }) => id.kind === "lean");
  const others = open.filter(({ id }) => id.kind !== "lean");
  return [
    ...(leans.length === 0 ? [] : [leansText(leans, job)]),
    ...others.map(
      (source) =>
        `The readings tell how far the ${sourceText(source.id)} is off but not which way: ${sidedError(source, job)}; ${signWords(source.id)[0]} with a chance of ${shareAbove(source)}. Take the reading that tells it before you move anything.`,
    ),
  ];
}

function leansText(leans: readonly SourceEstimate[], job: Units): string {
  const one = leans.length === 1;
  const sizes = leans
    .map((source) => `${source.id.of} ${sidedError(source, job)}, + with a chance of ${shareAbove(source)}`)
    .join("; ");
  return `The readings tell how far ${one ? "this ramp leans" : "these ramps lean"} but not which way: ${sizes}. + means that ${one ? "its" : "their"} cuts stand out at the front, − at the back. A gap read at the wider side looks the same either way: read one at the front and at the back, and write the side down, before you square ${one ? "the ramp" : "a ramp"}.`;
}

const shareAbove = ({ sides }: SourceEstimate): string => chanceText(sides?.above.share ?? 1);

/** What of a job describes its cell. */
export type CellOfJob = Parameters<typeof jobCell>[0];

/**
 * Says what a reading of this job was of, as short as makers say it: a joint of the cell by its short name, one on a bench by its cut.
 *
 * @example
 * subjectNamer(job)({ bench: "cell", subject: "hinge-1.end-right|hinge-2.end-left" }) // "hinge-1 mitre"
 */
export function subjectNamer(job: CellOfJob): (reading: Pick<Reading, "subject" | "bench">) => string {
  let names: ReadonlyMap<string, string> | undefined;
  return ({ subject, bench }) => {
    if (subject === null) return "any joint";
    const [first = "", mate] = facesNamed(subject);
    if (mate === undefined) return subject;
    if (bench !== "cell" && bench !== "none") return first.replace(/^(point|bevel)\./, "");
    names ??= shortJointNames(jobCell(job));
    return names.get(subject) ?? jointText(subject, " | ");
  };
}

/** What was read, in words: `shoulder length`, `ramp angle`. */
export const readQuantityText = (what: ReadQuantity): string =>
  what === "shoulder" ? "shoulder length" : what === "ramp" ? "ramp angle" : what;

/** Where along its joint a gap was read, and at which side of the panel: `toe, front`; empty for what has no such place. */
export const endText = ({ at, side }: Pick<Reading, "at" | "side">): string =>
  [at, side].filter((word) => word != null).join(", ");

const OWN_KEYS = ["opening", "strip", "seat-share"];

/** The cell of a job: `diamond, opening 60.00 mm, height 45.00 mm, strip 3.00 mm`. */
export function cellText({ pattern, patternSizes, opening, strip, units }: Job): string {
  const further = Object.entries(patternSizes).filter(([name]) => !OWN_KEYS.includes(name));
  return [
    `${pattern}, opening ${pieceLength(opening, units)}`,
    ...further.map(([name, value]) => `${name} ${pieceLength(value, units)}`),
    `strip ${pieceLength(strip, units)}`,
  ].join(", ");
}

/** What a cell must keep to close, in short: `gap ≤ 0.080 mm, press ≤ 0.040 mm`. */
export function closingRule({ limits, lengths, units }: Pick<Job, "limits" | "lengths" | "units">): string {
  const [gap, snug] = [smallLength(limits.gap, units), smallLength(limits.snug, units)];
  return lengths === "fitted"
    ? `gap ≤ ${gap}, each piece fitted to ${snug} press`
    : `gap ≤ ${gap}, press ≤ ${snug}`;
}

/** Gaps smaller than this, mm, are called closed: less than any feeler can tell. */
export const CLOSED = 0.005;

/**
 * Whether a cell closes, as every command and page says it. A cell whose pieces are fitted by trial (`lengths` "fitted") is never too tight.
 *
 * @param cell widest gap and deepest press, mm, ≥ 0
 * @example
 * verdictWords({ widestGap: 0, deepestPress: 0.07 }, { limits: { gap: 0.1, snug: 0.04 } }) // "No gap, but too tight to go in"
 */
export function verdictWords(
  { widestGap, deepestPress }: Readonly<Record<"widestGap" | "deepestPress", number>>,
  { limits, lengths }: { readonly limits: Job["limits"]; readonly lengths?: Job["lengths"] },
): string {
  const tight = lengths !== "fitted" && deepestPress > limits.snug;
  if (widestGap > limits.gap) return tight ? "The cell gaps and is too tight to go in" : "The cell gaps";
  if (!tight) return "The cell closes";
  return `No gap${widestGap < CLOSED ? "" : " over the limit"}, but too tight to go in`;
}

/** Said where moves are weighed on cells whose pieces are fitted by trial. */
export const fittedNote = ({ limits, units }: Pick<Job, "limits" | "units">): string =>
  `Each piece fitted by trial to ${smallLength(limits.snug, units)} press: pieces start as the stops cut them and are shortened until they go in; those too short stay as they are, and are scrap where they leave a gap over the limit. So a stop may be better a little long than right. Readings of trial pieces are of pieces as cut.`;

/** Said wherever a job whose pieces are fitted one by one is reckoned without the trimming. */
export const TAKEN_AS_CUT =
  "The job says that pieces are fitted by trial; everything here is reckoned as cut, nothing trimmed.";

/** Kind, number and tip-to-tip length of the pieces at nominal size. */
export function pieceRows(cell: Cell, units: Job["units"]): string[][] {
  const kinds = new Map<string, { count: number; length: number }>();
  for (const { kind, length } of cell.pieces)
    kinds.set(kind, { count: (kinds.get(kind)?.count ?? 0) + 1, length });
  return [...kinds].map(([kind, { count, length }]) => [kind, String(count), pieceLength(length, units)]);
}

/** Group, jig angle and stop of the cuts: from the tip at the start of the piece to where the cut crosses its middle line. */
export function stopRows(cell: Cell, units: Job["units"]): string[][] {
  const rows = new Map<string, string[]>();
  for (const { length, cuts } of cell.pieces) {
    for (const { group, jigAngle, reach, end } of cuts) {
      const stop = end === 1 ? stopLength(length / 2 + reach, units) : "first end";
      if (!rows.has(group)) rows.set(group, [group, angleText(jigAngle), stop]);
    }
  }
  return [...rows.values()];
}
