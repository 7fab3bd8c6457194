import { at, present } from "../../core/numeric/dense.js";
import { canRack } from "../../model/cell/cell-errors.js";
import { jointText } from "../../model/cell/face-id.js";
import type { Job } from "../../model/job/job.js";
import { CAUTIONS } from "../../render/cautions.js";
import { angleText, pieceLength, signed, smallLength } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { textTable, wrapped } from "../../render/text.js";
import { bestCheck, type Unseen, unidentifiedSigns, wouldSee } from "./best-check.js";
import type { Check, WeighedCheck } from "./candidate-checks.js";
import { type Cause, nothingGoesIn } from "./causes.js";
import { type Explanation, type JudgedHypothesis, TELLING } from "./explain-cells.js";
import { ENOUGH, type SizeFound } from "./weigh-hypothesis.js";

const FITTED =
  "In this job pieces are fitted by trial. Causes are weighed on cells whose pieces start as the stops cut them and are shortened until they go in; pieces that are too short stay as they are. So a stop that is long leaves no gap.";

/** Causes less probable than this are put together in the last row. */
const NAMED = 0.01;

/** `nothing but scatter`, a cause's name, or `several at once`. */
export function hypothesisName({ causes: [cause, ...others] }: JudgedHypothesis): string {
  if (!cause) return "nothing but scatter";
  return others.length > 0 ? "several at once" : sourceText(cause.id);
}

/** The cause of a hypothesis with one, and how large it would be. */
function single({ causes, sizes }: JudgedHypothesis): { cause: Cause; size: SizeFound } | null {
  return causes.length === 1 ? { cause: at(causes, 0), size: at(sizes, 0) } : null;
}

/** What the gaps of assembled cells say, for reading. */
export function explanationText(explanation: Explanation): string {
  const { outcome } = explanation;
  const body = outcome === "identified" ? identifiedLines(explanation) : unidentifiedLines(explanation);
  return [
    "WHY DOES IT GAP?",
    wrapped(readText(explanation)),
    "",
    ...body,
    "",
    wrapped(
      "Before the readings every cause is as likely as any other, with a size that fits the job's tolerances, and several at once are as likely as all single causes together; all include the scatter from cut to cut. Trial cuts can separate several causes (sukima calibrate).",
    ),
    ...(explanation.job.lengths === "fitted" ? [wrapped(FITTED)] : []),
    "",
    ...CAUTIONS.map((caution) => wrapped(`! ${caution}`)),
    "",
  ].join("\n");
}

function readText({ cells, outcome }: Explanation): string {
  const all = cells.flatMap(({ readings }) => readings);
  const forced = all.filter(({ high }) => high !== null && high < 0).length;
  const open = all.filter((reading) => !nothingGoesIn(reading)).length - forced;
  const gaps = all.length === 1 ? "One gap" : `${all.length} gaps`;
  const where = `${gaps} read in ${cells.length === 1 ? "one cell" : `${cells.length} cells`}`;
  if (outcome === "closed") return `${where}; nothing goes in anywhere.`;
  const goesIn = open === 0 ? "nothing goes in" : `a leaf goes in at ${open}`;
  return `${where}; ${goesIn}${forced === 0 ? "" : `, ${forced} must be forced`}.`;
}

function identifiedLines(explanation: Explanation): string[] {
  const { hypotheses, job } = explanation;
  const named = hypotheses.filter(({ probability }) => probability >= NAMED);
  const [first, second] = [at(hypotheses, 0), at(hypotheses, 1)];
  const rest = hypotheses.slice(named.length).reduce((sum, { probability }) => sum + probability, 0);
  const check = bestCheck(explanation, first, second);
  return [
    textTable(
      ["cause", "probability", "before", "if so, how large (95 %)", "that is"],
      [
        ...named.map((judged) => hypothesisRow(judged, job)),
        ...(named.length < hypotheses.length ? [["all others together", percent(rest), "", "", ""]] : []),
      ],
      [1, 2, 3],
    ),
    "",
    ...severalLines(explanation),
    ...checkLines(explanation, first, second, check),
    ...signLines(explanation),
  ];
}

/** Where several causes at once are likely: which of them would be off in that case. */
function severalLines({ hypotheses, job }: Explanation): string[] {
  const several = hypotheses.find(
    ({ causes, probability }) => causes.length > 1 && probability >= SEVERAL_NAMED,
  );
  if (!several) return [];
  if (several.weighed.effectiveSampleSize < ENOUGH)
    return [
      wrapped(
        "If several causes are at work at once, too few simulated cells match the readings to say which: cut trial pieces, and let sukima calibrate take them apart.",
      ),
      "",
    ];
  const rows = several.causes
    .map((cause, k) => ({ cause, size: at(several.sizes, k) }))
    .filter(({ size }) => size.thatSide >= LIKELY_SIDE)
    .map(({ cause, size }) => {
      const one = { ...several, causes: [cause], sizes: [size] };
      return [sourceText(cause.id), intervalText(one, job), sideText(one)];
    });
  const what =
    rows.length > 0
      ? "If several causes are at work at once, these are likely among them (95 % intervals):"
      : "If several causes are at work at once, the readings do not say which way any of them goes.";
  const table = rows.length > 0 ? [textTable(["cause", "between", "that is"], rows, [1])] : [];
  return [wrapped(what), ...table, ""];
}

/** Of each lean whose sign is not told: that it is not, and what to read. */
export function signLines(explanation: Explanation): string[] {
  return unidentifiedSigns(explanation).flatMap(({ cause, size, check }) => {
    const { job } = explanation;
    const [above, below] = cause.says;
    const sizes = [size.size, present(size.other)].map((one) => signed(angleText(one))).join(" or ");
    const open = `The readings tell how far the ${sourceText({ kind: "ramp", of: cause.id.of })} may lean but not which way: ${sizes} (+ is outward at the front), the first with a chance of ${percent(size.thatSide)}. Read at its wider side, a joint looks the same either way.`;
    if (!check)
      return [
        "",
        wrapped(
          `${open} Read a joint that it cuts at the front and at the back, before you square the ramp.`,
        ),
      ];
    const [a, b] = foreseenTexts(check, job);
    return [
      "",
      wrapped(open),
      wrapped(
        `To tell which way, before you square the ramp: ${checkText(check.check)} It should show ${a} if it is a ${above}, ${b} if it is a ${below} (nine times in ten).`,
      ),
    ];
  });
}

/** The check that tells two hypotheses apart, and what it should show under each. */
export function checkLines(
  { job }: Explanation,
  first: JudgedHypothesis,
  second: JudgedHypothesis,
  check: ReturnType<typeof bestCheck>,
): string[] {
  const between = `${hypothesisName(first)} from ${hypothesisName(second)}`;
  const byHand = [first, second].flatMap((judged) =>
    single(judged)?.cause.id.kind === "grid" ? [gridCheck(job)] : [],
  );
  if (!check)
    return [
      wrapped(
        `To tell ${between}: no reading of the job's instruments would. ${byHand[0] ?? "Look at the drawings of both."}`,
      ),
    ];
  const [a, b] = foreseenTexts(check, job);
  return [
    wrapped(`To tell ${between}: ${checkText(check.check)}`),
    wrapped(
      `It should show ${a} if it is ${hypothesisName(first)}, ${b} if it is ${hypothesisName(second)} (nine times in ten). It points to the right one ${percent(check.right)} of the time.`,
    ),
    ...byHand.slice(0, 1).map((text) => wrapped(text)),
  ];
}

const gridCheck = ({ arrangement }: Job): string =>
  canRack(arrangement)
    ? "The grid itself can be measured too: across the opening both ways, and along both diagonals; they are equal when the grid is not racked."
    : "The grid itself can be measured too: along every wall of the opening.";

function unidentifiedLines(explanation: Explanation): string[] {
  const { outcome, largestRise, job } = explanation;
  const unseen = wouldSee(explanation);
  const rule =
    outcome === "closed"
      ? `These readings say nothing about the cause: every joint is closed to the instrument, and the odds of no cause rose by more than a factor of ${largestRise.toFixed(1)}. They do say how large an error may be and still not show:`
      : `These readings say next to nothing about the cause: the odds of none rose by a factor of ${TELLING} or more (at most ${largestRise.toFixed(1)}), so none is named. What could be wrong and still look like this:`;
  return [
    wrapped(rule),
    "",
    textTable(
      ["cause", "may be (95 %)", "what would show it", "right"],
      unseen.byCause.map(({ judged, check }) => [
        hypothesisName(judged),
        intervalText(judged, job),
        check ? checkText(check.check) : "none of the job's instruments",
        check ? percent(check.right) : "",
      ]),
      [1, 3],
    ),
    "",
    wrapped("Right: how often that reading would point to the right answer, a cause or nothing but scatter."),
    wrapped(sightText(unseen, job)),
  ];
}

function sightText({ inThisCell, medianWidest }: Unseen, { units }: Job): string {
  const [best] = inThisCell;
  const half = `If something is wrong, half of such cells have their widest gap under ${smallLength(Math.max(0, medianWidest), units)}`;
  if (!best || best.chance < 0.05) {
    return `${half}: no instrument of this job would find it in the assembled cell; measure pieces or trial cuts instead, as above.`;
  }
  return `${half}. In the same cell ${best.instrument} (${best.at}) would find a gap ${percent(best.chance)} of the time.`;
}

function hypothesisRow(judged: JudgedHypothesis, job: Job): string[] {
  const { probability, standardError, prior } = judged;
  return [
    hypothesisName(judged),
    `${percent(probability)} ± ${percent(2 * standardError)}`,
    percent(prior),
    single(judged) ? `${hypothesisSizeText(judged, job)} (${intervalText(judged, job)})` : "",
    sideText(judged),
  ];
}

/** Of a hypothesis with one cause: its most probable size. */
export function hypothesisSizeText(judged: JudgedHypothesis, { units }: Job): string {
  const one = single(judged);
  if (!one) return "";
  const { cause, size } = one;
  const text = (value: number): string =>
    signed(cause.measure === "angle" ? angleText(value) : smallLength(value, units));
  return size.other === null ? text(size.size) : `${text(size.size)} or ${text(size.other)}`;
}

function intervalText(judged: JudgedHypothesis, { units }: Job): string {
  const one = single(judged);
  if (!one) return "";
  const { cause, size } = one;
  const text = (value: number): string =>
    signed(cause.measure === "angle" ? angleText(value) : smallLength(value, units));
  return `${text(size.interval[0])} to ${text(size.interval[1])}`;
}

/** From this probability on, several causes at once are looked at; a cause is named that is this surely off to one side. */
const SEVERAL_NAMED = 0.1;
const LIKELY_SIDE = 0.8;

/** Below this, either side is possible. */
const SURE_SIDE = 0.975;

/** Of a hypothesis with one cause: what its size is called in the shop. */
export function sideText(judged: JudgedHypothesis): string {
  const one = single(judged);
  if (!one) return judged.causes.length > 1 ? "each within its tolerance" : "";
  const { cause, size } = one;
  const says = cause.says[size.size > 0 ? 0 : 1];
  if (size.thatSide >= SURE_SIDE) return says;
  return `${says} (${percent(size.thatSide)})${size.other === null ? "" : ", or the other way"}`;
}

/** Whole per cent; under one with a tenth. */
const percent = (share: number): string =>
  100 * share >= 1 || share === 0
    ? `${Math.round(100 * share)} %`
    : share < 0.001
      ? "< 0.1 %"
      : `${(100 * share).toFixed(1)} %`;

/** A check as something to do. */
export function checkText({ bench, setUp, what, subject, at, side, instrument }: Check): string {
  const tool = `with ${instrument}`;
  if (what === "gap") {
    const joint = subject === null ? "any joint" : jointText(subject, " on ");
    const where = side ? ` at the ${side}` : "";
    const gap =
      at === "widest"
        ? `read the widest gap of ${joint}${where} ${tool}`
        : `read the gap at the ${at} of ${joint}${where} ${tool}`;
    if (bench === "cell") return `In the same cell, ${gap}.`;
    return `Cut ${PIECES[bench] ?? "a trial piece"} at ${setUp}, put ${PIECES[bench] ? "them" : "it"} on the bench ${bench}, and ${gap}.`;
  }
  if (what === "angle")
    return `Cut a trial piece at ${setUp} and read the angle of its cut ${subject} ${tool}.`;
  if (what === "length") return `Measure ${kindOf(subject)} tip to tip ${tool}.`;
  return `Measure the thickness of ${kindOf(subject)} ${tool}.`;
}

const PIECES: Readonly<Record<string, string>> = {
  reversal: "two points",
  "mitre-pair": "two mitred ends",
};

/** `hinge-1` is a hinge: any new one will do. */
const kindOf = (piece: string | null): string => `a new ${piece?.replace(/-\d+$/, "") ?? "piece"}`;

/** What the check would show under each of its two hypotheses: middle, and the stretch that holds nine in ten. */
function foreseenTexts({ check, foreseen }: WeighedCheck, { units }: Job): [string, string] {
  const text = (value: number): string => {
    if (check.what === "angle") return angleText(value);
    return check.what === "gap" ? smallLength(Math.max(0, value), units) : pieceLength(value, units);
  };
  const range = ([low, middle, high]: readonly [number, number, number]): string =>
    text(low) === text(high) ? `about ${text(middle)}` : `${text(middle)} (${text(low)} to ${text(high)})`;
  return [range(foreseen[0]), range(foreseen[1])];
}
