import { at } from "../../core/numeric/dense.js";
import type { Calibration } from "../../inference/calibrate-job.js";
import { sameSource } from "../../model/source-id.js";
import { answerText } from "../../render/cautions.js";
import { evidenceText } from "../../render/evidence-text.js";
import { textTable, wrapped } from "../../render/text.js";
import { aboutPieces } from "../plan/index.js";
import { nextRoundText } from "./calibration-text.js";
import { fewerMovesLine, MOVE_HEADING, moveRow, otherLimitsText } from "./card/move-sentences.js";
import { type CardRow, type CardStep, type SetUpCard, setUpCard } from "./card/set-up-card.js";

/** Maximum number of lines of a command's answer. */
const MOST_LINES = 15;
const WIDTH = 96;
const INDENT = "  ";

/** A part of the answer: its lines, and its rank for being left out if there are too many lines; rank 0 always stays. */
interface Part {
  readonly lines: readonly string[];
  readonly rank: number;
}

/**
 * What `sukima calibrate` prints: what to move and the expected result in at most fifteen lines, unless more than ten things are to be moved; then the cautions, and what to
 * write down after the moves.
 *
 * @param next what to read next, in sentences; empty if there is nothing to read or if the card already says it
 * @param date printed as it is
 */
export function calibrationAnswer(calibration: Calibration, next: string, date: string): string {
  const card = setUpCard(calibration, date);
  const [closes = "", ...expected] = expectedLines(card);
  const checks = checkLines(card);
  const few = fewerMovesLine(calibration.decision, calibration.job);
  const answer = fitting([
    { rank: 0, lines: [evidenceText(calibration.posterior), "WHAT TO DO", ...doLines(calibration, card)] },
    { rank: 3, lines: checks },
    { rank: 1, lines: few === "" ? [] : [wrapped(few)] },
    { rank: 2, lines: restLines(calibration, card) },
    { rank: 6, lines: [wrapped(otherLimitsText(calibration.decision, calibration.fit, calibration.job))] },
    { rank: 0, lines: [`WHAT TO EXPECT OF A CELL (it closes at ${card.closing})`, closes] },
    { rank: 0, lines: card.forecastDoubt === "" ? [] : [`${INDENT}${card.forecastDoubt}`] },
    { rank: expected.length > 2 ? 1 : 4, lines: expected.slice(0, 1) },
    { rank: 4, lines: expected.slice(1) },
    { rank: 5, lines: next === "" ? [] : [wrapped(`Read next: ${next}`)] },
  ]);
  return `${answerText({ answer, details: [], wanted: false })}${nextRoundText(calibration)}`;
}

/** The parts in order; those with the highest rank are left out first until the rest fits. */
function fitting(parts: readonly Part[]): string[] {
  const lines = parts.flatMap((part) => part.lines.flatMap((text) => text.split("\n")));
  const worst = Math.max(...parts.map(({ rank }) => rank));
  if (lines.length <= MOST_LINES || worst === 0) return lines;
  return fitting(parts.filter(({ rank }) => rank < worst));
}

const rowOf = ({ rows }: SetUpCard, about: string): CardRow | undefined =>
  rows.find(({ name, verdict }) => verdict === "adjust" && name.toLowerCase() === about.toLowerCase());

/** What to read first, in sentences, and what to move, as a table if it fits the width. */
function doLines(calibration: Calibration, card: SetUpCard): string[] {
  const { decision, fit, job } = calibration;
  const sentence = ({ about, action, reason }: CardStep): string =>
    wrapped(`${about}: ${action === "" ? reason : action}`, WIDTH, INDENT);
  if (card.steps.length === 0) return ["  Nothing: leave every jig and stop as it is."];
  const moves = card.steps.flatMap((step) => {
    const row = rowOf(card, step.about);
    return row ? [{ step, row }] : [];
  });
  const others = card.steps.filter(({ about }) => rowOf(card, about) === undefined).map(sentence);
  const table = moves.flatMap(({ row }) => {
    const advice = decision.advice.find(({ adjuster }) =>
      sameSource(at(fit.sources, adjuster.source).id, row.id),
    );
    return advice ? [moveRow(advice, job)] : [];
  });
  const lines = tableLines(MOVE_HEADING, table);
  const fits = lines.every((line) => [...line].length <= WIDTH);
  return [...others, ...(fits ? lines : moves.map(({ step }) => sentence(step)))];
}

/** An indented table without a rule under its heading. */
function tableLines(heading: readonly string[], rows: readonly (readonly string[])[]): string[] {
  if (rows.length === 0) return [];
  return textTable(heading, rows)
    .split("\n")
    .filter((_, i) => i !== 1)
    .map((line) => `${INDENT}${line}`);
}

/** The reading that confirms each move. */
function checkLines({ steps }: SetUpCard): string[] {
  const checks = steps.filter(({ check }) => check !== "");
  if (checks.length === 0) return [];
  return ["THEN CHECK", ...checks.map(({ about, check }) => wrapped(`${about}: ${check}`, WIDTH, INDENT))];
}

/** The names of everything that stays as it is. */
function restLines({ decision, fit, job }: Calibration, { rows, steps }: SetUpCard): string[] {
  const leaving = ({ id }: CardRow): string => {
    const advice = decision.advice.find(({ adjuster }) =>
      sameSource(at(fit.sources, adjuster.source).id, id),
    );
    return advice ? `; leaving it costs ${aboutPieces(advice.gain)} over ${job.costs.cells} cells` : "";
  };
  const first = steps.map(({ about }) => about).join();
  const named = (verdict: CardRow["verdict"]): CardRow[] =>
    rows.filter((row) => row.verdict === verdict && !first.includes(`the ${row.name}`));
  const groups = [
    ["In order", named("in order").map(({ name, error }) => `${name} (${error})`)],
    [
      "Off, but not worth moving",
      named("off, leave it").map((row) => `${row.name} (${row.error}${leaving(row)})`),
    ],
    [
      decision.hold === null ? "Not measured well enough to say" : "Undecided until then",
      named("not known").map(({ name }) => name),
    ],
  ] as const;
  const said = groups.flatMap(([what, names]) =>
    names.length === 0 ? [] : [`${what}: ${names.join(", ")}.`],
  );
  return said.length === 0 ? [] : [wrapped(`Leave the rest as it is. ${said.join(" ")}`)];
}

/** The expected results now and after the moves, or only once if nothing is moved. The first line has the headings and the share of cells that close. */
function expectedLines({ forecast }: SetUpCard): string[] {
  const same = forecast.every(([, before, after]) => before === after);
  const rows = forecast.map(([what, before, after]) => [what.trim(), before, ...(same ? [] : [after])]);
  const [heading = "", closes = "", ...rest] = tableLines(
    ["", "now", ...(same ? [] : ["after the moves"])],
    rows,
  );
  return [`${heading}\n${closes}`, ...rest];
}
