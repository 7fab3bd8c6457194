import { sourceText } from "../../../src/render/source-text.js";
import type { Study, StudyCell } from "./run-study.js";

/** How often the likeliest hypothesis was the true one. */
export interface FirstChoice {
  readonly cells: number;
  readonly explained: number;
  readonly best: number;
  /** explained / best. */
  readonly ratio: number;
  /** Standard error of the ratio, the same cells having been put before both. */
  readonly ratioError: number;
}

/** What a study found, of all its cells or of those with at most one cause. */
export interface StudyFigures {
  readonly cells: number;
  /** Cells with exactly one cause. */
  readonly withOne: number;
  /** Cells with several. */
  readonly withSeveral: number;
  readonly identified: Readonly<Record<StudyCell["outcome"], number>>;
  /** Every (cell, hypothesis) is a statement. */
  readonly calibration: readonly CalibrationBin[];
  /** Over the cells that tell something, and over all. */
  readonly firstChoice: { readonly identified: FirstChoice; readonly all: FirstChoice };
  /** Cells unlike any that the best classifier simulated. */
  readonly unlike: number;
  /** Mean of log probability given to the truth, over all cells like some that the best classifier simulated: the larger the better. */
  readonly logScore: { readonly explained: number; readonly best: number };
  /** Difference of any probability from the best classifier's: median over cells of the largest, and largest of all, of cells in which at least 100 of its simulated cells count. */
  readonly difference: { readonly median: number; readonly largest: number; readonly cells: number };
  /** Share of cells with a cause identified, and of these with the right first choice, by the size of the cause in standard deviations. */
  readonly bySize: readonly {
    readonly from: number;
    readonly to: number;
    readonly cells: number;
    readonly identified: number;
    readonly right: number;
  }[];
  /** By cause: cells, share identified, share right among these. */
  readonly byCause: readonly {
    readonly cause: string;
    readonly cells: number;
    readonly identified: number;
    readonly right: number;
  }[];
  /** Largest rise of any hypothesis's odds in a cell where nothing goes in. */
  readonly closedRise: number;
}

const COUNTED = 100;
const SIZES = [0, 0.5, 1, 1.5, 2, 2.5, Number.POSITIVE_INFINITY];

export function studyFigures({ hypotheses, cells }: Study): StudyFigures {
  const identified = cells.filter((cell) => cell.outcome === "identified");
  const causes = ({ truth }: StudyCell): number => hypotheses[truth]!.length;
  const withOne = cells.filter((cell) => causes(cell) === 1);
  const inUnits = ({ truth, size }: StudyCell): number => {
    const cause = hypotheses[truth]![0]!;
    return Math.abs(size - cause.priorMean) / cause.priorSd;
  };
  const right = (list: readonly StudyCell[]): number =>
    list.filter((cell) => firstOf(cell.explained) === cell.truth).length / (list.length || 1);
  const share = (list: readonly StudyCell[]) => {
    const speaking = list.filter((cell) => cell.outcome === "identified");
    return { cells: list.length, identified: speaking.length / (list.length || 1), right: right(speaking) };
  };
  return {
    cells: cells.length,
    withOne: withOne.length,
    withSeveral: cells.filter((cell) => causes(cell) > 1).length,
    identified: {
      identified: identified.length,
      closed: cells.filter((cell) => cell.outcome === "closed").length,
      undecided: cells.filter((cell) => cell.outcome === "undecided").length,
    },
    calibration: calibrationBins(
      cells.flatMap(({ truth, explained }) =>
        explained.map((probability, k) => ({ probability, true: k === truth })),
      ),
    ),
    firstChoice: { identified: firstChoice(identified), all: firstChoice(cells) },
    unlike: cells.filter(({ unlike }) => unlike).length,
    logScore: { explained: logScore(cells, "explained"), best: logScore(cells, "best") },
    difference: differenceOf(identified),
    bySize: SIZES.slice(1).map((to, i) => ({
      ...{ from: SIZES[i]!, to },
      ...share(withOne.filter((cell) => inUnits(cell) >= SIZES[i]! && inUnits(cell) < to)),
    })),
    byCause: hypotheses.map((own, k) => ({
      cause: own.length > 1 ? "several at once" : own[0] ? sourceText(own[0].id) : "nothing but scatter",
      ...share(cells.filter(({ truth }) => truth === k)),
    })),
    closedRise: Math.max(1, ...cells.filter((c) => c.outcome === "closed").map((c) => c.largestRise)),
  };
}

const firstOf = (probabilities: readonly number[]): number =>
  probabilities.indexOf(Math.max(...probabilities));

function firstChoice(cells: readonly StudyCell[]): FirstChoice {
  const n = cells.length;
  const right = (whose: "explained" | "best"): number[] =>
    cells.map((cell) => (firstOf(cell[whose]) === cell.truth ? 1 : 0));
  const meanOf = (list: readonly number[]): number => list.reduce((a, b) => a + b, 0) / (n || 1);
  const [ours, theirs] = [right("explained"), right("best")];
  const [explained, best] = [meanOf(ours), meanOf(theirs)];
  const ratio = explained / best;
  // To first order the ratio is off by the mean of (ours − ratio · theirs) / best.
  const spread = meanOf(ours.map((own, i) => (own - ratio * theirs[i]!) ** 2));
  return { cells: n, explained, best, ratio, ratioError: Math.sqrt(spread / n) / best };
}

function logScore(cells: readonly StudyCell[], whose: "explained" | "best"): number {
  const counted = cells.filter(({ unlike }) => !unlike);
  const logs = counted.map((cell) => Math.log(cell[whose][cell.truth] ?? Number.NaN));
  return logs.reduce((a, b) => a + b, 0) / counted.length;
}

function differenceOf(cells: readonly StudyCell[]): StudyFigures["difference"] {
  const largest = cells
    .filter(({ bestEffective }) => bestEffective >= COUNTED)
    .map(({ explained, best }) => Math.max(...explained.map((p, k) => Math.abs(p - best[k]!))))
    .sort((a, b) => a - b);
  return {
    median: largest[Math.floor(largest.length / 2)] ?? Number.NaN,
    largest: largest.at(-1) ?? Number.NaN,
    cells: largest.length,
  };
}

/** Something said with a probability, and whether it was so. */
export interface Statement {
  readonly probability: number;
  readonly true: boolean;
}

/** Statements of nearly the same probability. */
export interface CalibrationBin {
  readonly from: number;
  readonly to: number;
  readonly statements: number;
  /** Mean of the probabilities stated. */
  readonly stated: number;
  /** Share that was true. */
  readonly true: number;
  /** Share that would be true in 99 % of studies if each were as likely as stated. */
  readonly bounds: readonly [number, number];
  readonly within: boolean;
}

export const BIN_EDGES = [0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1] as const;
const TAIL = 0.005;

/** Whether things said at 70–80 % were true 70–80 % of the time, for every such bin that has statements. */
export function calibrationBins(statements: readonly Statement[]): CalibrationBin[] {
  return BIN_EDGES.slice(1).flatMap((to, i): CalibrationBin[] => {
    const from = BIN_EDGES[i]!;
    const own = statements.filter(({ probability: p }) => p >= from && (p < to || (to === 1 && p <= 1)));
    if (own.length === 0) return [];
    const n = own.length;
    const yes = own.filter((statement) => statement.true).length;
    const probabilities = own.map(({ probability }) => probability);
    const [low, high] = centralCounts(probabilities, TAIL);
    return [
      {
        ...{ from, to, statements: n, true: yes / n, bounds: [low / n, high / n] },
        stated: probabilities.reduce((a, b) => a + b, 0) / n,
        within: yes >= low && yes <= high,
      },
    ];
  });
}

/** Probabilities that 0, 1, … n of independent events with the given probabilities happen. */
export function poissonBinomial(probabilities: readonly number[]): Float64Array {
  const out = new Float64Array(probabilities.length + 1);
  out[0] = 1;
  for (const [n, p] of probabilities.entries()) {
    for (let k = n + 1; k > 0; k--) out[k] = out[k]! * (1 - p) + out[k - 1]! * p;
    out[0]! *= 1 - p;
  }
  return out;
}

/** The smallest and largest number of events of which less than `tail` lies beyond on either side. */
export function centralCounts(probabilities: readonly number[], tail: number): [number, number] {
  const mass = poissonBinomial(probabilities);
  let low = 0;
  for (let sum = mass[0]!; sum < tail; sum += mass[low]!) low++;
  let high = mass.length - 1;
  for (let sum = mass[high]!; sum < tail; sum += mass[high]!) high--;
  return [low, high];
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

/** The figures of a study, for reading. */
export function studyText(figures: StudyFigures): string {
  const { cells, withOne, withSeveral, identified, calibration, firstChoice, logScore, difference } = figures;
  const choice = ({
    cells: n,
    explained,
    best,
    ratio,
    ratioError,
  }: StudyFigures["firstChoice"]["all"]): string =>
    `${n} cells: first choice right ${percent(explained)}; best possible ${percent(best)}; ratio ${ratio.toFixed(3)} ± ${(2 * ratioError).toFixed(3)}`;
  return [
    `${cells} cells, ${withOne} with one cause, ${withSeveral} with several. Identified ${identified.identified}, nothing goes in ${identified.closed}, undecided ${identified.undecided}.`,
    "Said · true · 99 % bounds · statements",
    ...calibration.map(
      (bin) =>
        `${percent(bin.stated)} · ${percent(bin.true)} · ${percent(bin.bounds[0])} to ${percent(bin.bounds[1])} · ${bin.statements}${bin.within ? "" : "  OUTSIDE"}`,
    ),
    `Of the cells with a cause identified, ${choice(firstChoice.identified)}.`,
    `Of all, ${choice(firstChoice.all)}.`,
    `The best classifier knows none like ${figures.unlike} of them.`,
    `Mean log probability of the truth: ${logScore.explained.toFixed(4)}; best possible ${logScore.best.toFixed(4)}.`,
    `Difference from the best classifier's probabilities: median ${difference.median.toFixed(3)}, largest ${difference.largest.toFixed(3)} (${difference.cells} cells).`,
    ...figures.bySize.map(
      (row) =>
        `size ${row.from} to ${row.to} s: ${row.cells} cells, identified ${percent(row.identified)}, right when identified ${percent(row.right)}`,
    ),
    ...figures.byCause.map(
      (row) =>
        `${row.cause}: ${row.cells} cells, identified ${percent(row.identified)}, right when identified ${percent(row.right)}`,
    ),
    `Where nothing goes in, the odds of no hypothesis rose by more than a factor ${figures.closedRise.toFixed(2)}.`,
  ].join("\n");
}
