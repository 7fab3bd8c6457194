import { at } from "../../../core/numeric/dense.js";
import { formatLength } from "../../../core/quantity/index.js";
import { listed } from "../../../core/text.js";
import type { Advice, Decision, HoldReason } from "../../../inference/decision/decide-moves.js";
import type { SourceFit } from "../../../inference/estimates/fit-sources.js";
import type { FitVerdict } from "../../../inference/misfit/judge-readings.js";
import type { Job } from "../../../model/job/job.js";
import { fitSentence } from "../../../render/misfit-text.js";
import { subjectNamer } from "../../../render/shared-text.js";
import { angleText, chanceText, signed, smallLength } from "../../../render/shop-numbers.js";
import { capitalised, sourceText } from "../../../render/source-text.js";
import { aboutPieces, piecesText, readTexts, tellingText } from "../../plan/index.js";

// The cards' sentences about each move: what to do, and why. Losses are in scrapped pieces.

/** The verdict in a column of a table. */
export function shownVerdict({ verdict, readPays }: Pick<Advice, "verdict" | "readPays">): string {
  return verdict === "not known" ? `not known${readPays ? ": read first" : ""}` : verdict;
}

/** What to do, in terms of the jig: which end of the ramp the shim goes under, which way the stop moves. */
export function actionText({ verdict, setting, adjuster }: Advice, job: Job): string {
  if (verdict === "not known") return "Do not move it yet.";
  if (verdict !== "adjust") return "Leave it as it is.";
  const { units } = job;
  const more = setting.change > 0;
  if (adjuster.kind === "shim") {
    const leaves = setting.leaves.map((leaf) => leafText(leaf, units)).join(" + ");
    const end = more ? "leans towards" : "leans away from";
    const point = more ? "a sharper" : "a blunter";
    return `Put a shim of ${leaves} under the end of the ramp that the strip ${end}; it then cuts ${point} point (${signed(angleText(setting.change))}).`;
  }
  const steps = Math.abs(setting.steps);
  const way = more
    ? "away from the blade: pieces come out longer"
    : "towards the blade: pieces come out shorter";
  return `Move the stop ${steps} step${steps === 1 ? "" : "s"} ${way} (${signed(smallLength(setting.change, units))}).`;
}

/** Headings of the columns of {@link moveRow}. */
export const MOVE_HEADING = ["jig or stop", "move", "shim under, stop goes", "pieces come out"] as const;

/** The same as {@link actionText} in the columns of a table: what is moved, how far, which end of the ramp or which way, and what comes of it. */
export function moveRow({ adjuster, setting }: Advice, { units }: Job): string[] {
  const more = setting.change > 0;
  if (adjuster.kind === "shim") {
    const leaves = setting.leaves.map((leaf) => leafText(leaf, units));
    // The unit is written once if all leaves have the same one.
    const [unit = ""] = /[^\d.]+$/.exec(at(leaves, leaves.length - 1)) ?? [];
    const stack = leaves
      .map((leaf, i) => (i < leaves.length - 1 ? leaf.replace(unit, "") : leaf))
      .join(" + ");
    return [
      ...[adjuster.name, `shim ${stack}`],
      `end the strip leans ${more ? "towards" : "away from"}`,
      `${more ? "sharper" : "blunter"}, ${signed(angleText(setting.change))}`,
    ];
  }
  const steps = Math.abs(setting.steps);
  return [
    ...[adjuster.name, `stop ${steps} step${steps === 1 ? "" : "s"}`],
    more ? "away from the blade" : "towards the blade",
    `${more ? "longer" : "shorter"}, ${signed(smallLength(setting.change, units))}`,
  ];
}

const leafText = (mm: number, units: Job["units"]): string =>
  units === "mm"
    ? formatLength(mm, { unit: "mm", digits: 2 })
    : formatLength(mm, { unit: "in", style: "thou", digits: 1 });

/** Why nothing may be moved yet, in a sentence. */
export function holdSentence(hold: HoldReason, verdict: FitVerdict): string {
  if (hold.kind === "does not fit") return fitSentence(verdict);
  const names = hold.of.map(sourceText);
  return `The readings do not tell which way the ${names.join(" and the ")} ${names.length === 1 ? "is" : "are"} off.`;
}

/**
 * Why, in whole sentences: what a move saves; what leaving an error costs, and when moving it would pay; what to read.
 *
 * @param held whether nothing may be moved yet
 */
export function reasonText(advice: Advice, job: Job, held = false): string {
  const { verdict, gain, read, considered } = advice;
  const { adjusting, cells } = job.costs;
  if (verdict === "adjust")
    return `It saves about ${piecesText(gain)} over ${cells} cells and costs ${piecesText(adjusting)}.`;
  if (verdict === "in order") return "No error found larger than matters.";
  if (verdict === "off, leave it") {
    return `${aloneText(advice, job)}. ${leavingText(advice, job)}`;
  }
  const until = held && considered.change !== 0 ? "Nothing is moved until that is settled. " : "";
  if (read === null) return `${until}No reading that this shop could take would tell it.`;
  return `${until}${advice.readPays ? readTexts(read, job).join(" ") : `What would tell it: ${tellingText(read, job)}`}`;
}

/** What leaving an error costs, and the number of cells from which moving it pays. */
export function leavingText({ gain, paysFrom }: Advice, { costs: { cells, adjusting } }: Job): string {
  if (paysFrom === null)
    return `Leaving it costs ${aboutPieces(gain)} over ${cells} cells: no setting at hand comes nearer, however many cells are cut.`;
  if (gain > adjusting)
    return `Leaving it costs ${aboutPieces(gain)} over ${cells} cells, moving it ${piecesText(adjusting)}: too close to call from the simulated cells.`;
  return `Leaving it costs ${aboutPieces(gain)} over ${cells} cells, moving it ${piecesText(adjusting)}; the move pays from about ${paysFrom} cells on.`;
}

/** The effect of an error by itself: `By itself it opens 0.024 mm at the heel of diagonal end-left | wall-top (limit 0.080 mm)`. */
function aloneText({ alone }: Advice, job: Job): string {
  const { units } = job;
  const { kind, size, limit } = alone;
  const where = `the ${alone.at} of ${subjectNamer(job)({ subject: alone.joint, bench: "cell" })}`;
  const what = kind === "gap" ? "opens" : "presses";
  return `By itself it ${what} ${smallLength(size, units)} at ${where} (limit ${smallLength(limit, units)})`;
}

/** How the advice would differ at half and at twice the limits, in one line. */
export function otherLimitsText({ advice, hold, otherLimits }: Decision, fit: SourceFit, job: Job): string {
  if (hold !== null) return "At half and at twice your limits nothing would be moved yet either.";
  const { limits, lengths, units } = job;
  const texts = otherLimits.map(({ scale, settings }) => {
    const [gap, snug] = [limits.gap, limits.snug].map((mm) => smallLength(scale * mm, units));
    const size = lengths === "fitted" ? `gap ${gap}` : `gap ${gap}, press ${snug}`;
    const others = advice.flatMap(({ adjuster, setting, verdict }, k) => {
      const other = at(settings, k);
      if (verdict === "not known" || (setting.change === 0) === (other.change === 0)) return [];
      return [{ name: `the ${sourceText(at(fit.sources, adjuster.source).id)}`, adjuster, other }];
    });
    const left = others.filter(({ other }) => other.change === 0).map(({ name }) => name);
    const moved = others
      .filter(({ other }) => other.change !== 0)
      .map(({ name, adjuster: { kind }, other: { change } }) => {
        const amount = kind === "shim" ? angleText(change) : smallLength(change, units);
        return `${name} (${signed(amount)})`;
      });
    const changes = [
      ...(moved.length === 0 ? [] : [`also move ${listed(moved)}`]),
      ...(left.length === 0 ? [] : [`leave ${listed(left)}`]),
    ];
    const said = changes.length === 0 ? "the same jigs and stops" : changes.join("; ");
    return `at ${scale === 0.5 ? "half" : "twice"} your limits (${size}): ${said}`;
  });
  return texts.map((text) => `${capitalised(text)}.`).join(" ");
}

/** The same in one line of a terminal: `3 moves would close 99 %, but leave gaps of 0.042 mm where these leave 0.005 mm.` */
export function fewerMovesLine({ fewer: found }: Decision, job: Job): string {
  if (found === null) return "";
  const { settings, fewer, chosen } = found;
  const count = settings.filter(({ change }) => change !== 0).length;
  const moves = count === 0 ? "No move" : count === 1 ? "1 move" : `${count} moves`;
  const size = (mm: number): string => smallLength(mm, job.units);
  return `${moves} would close ${chanceText(fewer.closes)}, but leave gaps of ${size(fewer.widestGap)} where these leave ${size(chosen.widestGap)}.`;
}

/** Why the card recommends more moves than closing needs, in one line; empty if it does not. */
export function fewerMovesText({ fewer: found, advice }: Decision, fit: SourceFit, job: Job): string {
  if (found === null) return "";
  const { settings, fewer, chosen } = found;
  const moved = advice.flatMap(({ adjuster }, k) =>
    at(settings, k).change === 0 ? [] : [`the ${sourceText(at(fit.sources, adjuster.source).id)}`],
  );
  const size = (mm: number): string => smallLength(mm, job.units);
  const only = moved.length === 0 ? "With nothing moved" : `With ${listed(moved)} alone, set by closing,`;
  return `Why so many moves: ${only} ${chanceText(fewer.closes)} of the cells would close instead of ${chanceText(chosen.closes)}, but a cell's widest gap would be about ${size(fewer.widestGap)} instead of ${size(chosen.widestGap)}. Gaps within the limit count too (gap under costs in job.yaml), so that would lose ${piecesText(fewer.loss)} over ${job.costs.cells} cells, moves counted, and these moves lose ${piecesText(chosen.loss)}.`;
}
