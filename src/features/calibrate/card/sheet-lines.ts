import { formatLength } from "../../../core/quantity/index.js";
import type { Advice } from "../../../inference/decision/decide-moves.js";
import type { Cut, Piece } from "../../../model/cell/arrangement.js";
import type { Jig, Job, SetUp, Stop } from "../../../model/job/job.js";
import { jobCell } from "../../../model/job/job-cell.js";
import { type SourceId, sameSource } from "../../../model/source-id.js";
import type { Html } from "../../../render/html.js";
import { errorText, pieceLength, smallLength, stopLength } from "../../../render/shop-numbers.js";
import { readingName } from "../../plan/index.js";
import { type DrawingScale, rampDrawing, stopDrawing } from "./drawings.js";
import { leavingText } from "./move-sentences.js";
import { type CardRow, extraText, labelAngle, type SetUpCard } from "./set-up-card.js";

/** A ramp or a stop on the sheet. */
export interface SheetLine {
  readonly heading: string;
  /** `adjust`, `in order`, …; empty before any trial. */
  readonly verdict: string;
  /** The current error, and what it means. */
  readonly state: string;
  /** What to do, a box to tick beside each. */
  readonly toDo: readonly string[];
  readonly drawing: Html;
}

export interface SheetMaker {
  readonly job: Job;
  readonly scale: DrawingScale;
  readonly card: SetUpCard | null;
  readonly advice: readonly Advice[];
}

/** A set-up's stop with the piece that lies against it. */
export interface PlacedStop {
  readonly setUp: SetUp;
  readonly stop: Stop;
  readonly piece: Piece;
  readonly cut: Cut;
  /** Distance from the piece's tip at the stop to where the cut crosses its middle line, mm. */
  readonly setting: number;
}

/** Every stop of a job and each group of cuts made at it. */
export function stopsOf(job: Job): PlacedStop[] {
  const { pieces } = jobCell(job);
  return job.setUps.flatMap((setUp) => {
    const { stop } = setUp;
    if (stop === null) return [];
    return setUp.cuts.flatMap((group): PlacedStop[] => {
      const piece = pieces.find(({ cuts }) => cuts.some((cut) => cut.group === group));
      const cut = piece?.cuts.find((one) => one.group === group);
      return piece && cut ? [{ setUp, stop, piece, cut, setting: piece.length / 2 + cut.reach }] : [];
    });
  });
}

export function rampLine(jig: Jig, { job, scale, card, advice }: SheetMaker): SheetLine {
  const row = rowOf(card, { kind: "ramp", of: jig.name });
  const found = advice.find(({ adjuster }) => adjuster.kind === "shim" && adjuster.name === jig.name);
  const leaves = found?.setting.leaves ?? [];
  const rampText = labelAngle(jig.ramp);
  const picture = {
    jig: jig.name,
    ramp: jig.ramp,
    strip: job.strip,
    base: jig.shims?.base ?? null,
    leaves,
    steeper: (found?.setting.change ?? 1) > 0,
    rampText,
    baseText: jig.shims ? leafText(jig.shims.base, job) : "",
    leavesText: stackText(leaves, job),
  };
  return {
    heading: `Ramp ${rampText}`,
    ...(card || jig.priorSd === 0
      ? spoken(row, found, job)
      : { ...UNMEASURED, toDo: ["Cut a trial piece and read its angle:"] }),
    drawing: rampDrawing(picture, scale.leafMagnified),
  };
}

export function stopLine({ setUp, stop, piece, cut, setting }: PlacedStop, maker: SheetMaker): SheetLine {
  const { job, scale, card, advice } = maker;
  const row = rowOf(card, { kind: "stop", of: setUp.name });
  const found = advice.find(({ adjuster }) => adjuster.kind === "stop" && adjuster.name === setUp.name);
  const change = found?.setting.change ?? 0;
  const picture = {
    setUp: setUp.name,
    strip: job.strip,
    piece,
    cut,
    change,
    settingText: decimals(setting, job),
    changeText: smallLength(Math.abs(change), job.units),
  };
  const heading = setUp.cuts.length > 1 ? `Stop of ${setUp.name}, ${cut.group}` : `Stop of ${setUp.name}`;
  const first = [
    `Set it for ${stopLength(setting, job.units)}.`,
    `Cut a ${piece.kind}, ${decimals(piece.length, job)} tip to tip. It reads:`,
  ];
  return {
    heading,
    ...(card || stop.priorSd === 0 ? spoken(row, found, job) : { ...UNMEASURED, toDo: first }),
    drawing: stopDrawing(picture, scale),
  };
}

const rowOf = (card: SetUpCard | null, source: SourceId): CardRow | undefined =>
  card?.rows.find(({ id }) => sameSource(id, source));

const decimals = (mm: number, { units }: Job): string => pieceLength(mm, units);

const UNMEASURED = { verdict: "", state: "Not measured yet." };

/** What is known and what is to be done, in words. */
function spoken(
  row: CardRow | undefined,
  advice: Advice | undefined,
  job: Job,
): Pick<SheetLine, "verdict" | "state" | "toDo"> {
  if (!row) return { verdict: "", state: "Taken as right.", toDo: [] };
  const state = `${row.error}, ${row.means}.`;
  if (row.verdict !== "adjust" || !advice) {
    const toDo = advice?.read && advice.readPays ? [`First read ${readingName(advice.read, job)}.`] : [];
    const left = row.verdict === "off, leave it" && advice ? ` ${leavingText(advice, job)}` : "";
    return { verdict: row.verdictText, state: `${state}${left}`, toDo };
  }
  const kind = advice.adjuster.kind === "shim" ? "angle" : "length";
  const wanted = errorText(advice.wanted, advice.standardUncertainty, kind, job.units);
  const extra = extraText(advice, job);
  const why = extra === "" ? `Wanted: ${wanted}.` : `Wanted by itself: ${wanted}. ${extra}`;
  return {
    verdict: row.verdict,
    state,
    toDo: [`${row.action} ${why}`, ...(row.check === "" ? [] : [`${row.check} It reads:`])],
  };
}

const leafText = (mm: number, { units }: Job): string => {
  if (units === "mm") return bare(formatLength(mm, { unit: "mm", digits: 2 }));
  if (mm >= LEAST_FRACTION) return formatLength(mm, { unit: "in", style: "fraction" });
  return bare(formatLength(mm, { unit: "in", style: "thou", digits: 1 }));
};

/** Lengths of at least 1/8 in are written as fractions of an inch; this limit in mm. */
const LEAST_FRACTION = 25.4 / 8;
const bare = (text: string): string => text.replace(/\.?0+ /, " ");

/** A stack of leaves, with the unit written once: `0.1 + 0.8 mm`. */
function stackText(leaves: readonly number[], job: Job): string {
  const texts = leaves.map((leaf) => leafText(leaf, job));
  return texts.map((text, i) => (i < texts.length - 1 ? text.replace(/ (mm|thou)$/, "") : text)).join(" + ");
}
