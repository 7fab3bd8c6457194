import { type CalibrationBin, calibrationBins } from "./calibration-bins.js";
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
  readonly told: Readonly<Record<StudyCell["told"], number>>;
  /** Every (cell, hypothesis) is a statement. */
  readonly calibration: readonly CalibrationBin[];
  /** Over the cells that tell something, and over all. */
  readonly firstChoice: { readonly told: FirstChoice; readonly all: FirstChoice };
  /** Cells unlike any that the best classifier simulated. */
  readonly unlike: number;
  /** Mean of log probability given to the truth, over all cells like some that the best classifier simulated: the larger the better. */
  readonly logScore: { readonly explained: number; readonly best: number };
  /** Difference of any probability from the best classifier's: median over cells of the largest, and largest of all, of cells in which at least 100 of its simulated cells count. */
  readonly difference: { readonly median: number; readonly largest: number; readonly cells: number };
  /** Share of cells that told something, and of these with the right first choice, by the size of the cause in standard deviations. */
  readonly bySize: readonly {
    readonly from: number;
    readonly to: number;
    readonly cells: number;
    readonly told: number;
    readonly right: number;
  }[];
  /** By cause: cells, told, right among the told. */
  readonly byCause: readonly {
    readonly cause: string;
    readonly cells: number;
    readonly told: number;
    readonly right: number;
  }[];
  /** Largest rise of any hypothesis's odds in a cell where nothing goes in. */
  readonly closedRise: number;
}

const COUNTED = 100;
const SIZES = [0, 0.5, 1, 1.5, 2, 2.5, Number.POSITIVE_INFINITY];

export function studyFigures({ hypotheses, cells }: Study): StudyFigures {
  const told = cells.filter((cell) => cell.told === "told");
  const causes = ({ truth }: StudyCell): number => hypotheses[truth]!.length;
  const withOne = cells.filter((cell) => causes(cell) === 1);
  const inUnits = ({ truth, size }: StudyCell): number => {
    const cause = hypotheses[truth]![0]!;
    return Math.abs(size - cause.expected) / cause.trustedTo;
  };
  const right = (list: readonly StudyCell[]): number =>
    list.filter((cell) => firstOf(cell.explained) === cell.truth).length / (list.length || 1);
  const share = (list: readonly StudyCell[]) => {
    const speaking = list.filter((cell) => cell.told === "told");
    return { cells: list.length, told: speaking.length / (list.length || 1), right: right(speaking) };
  };
  return {
    cells: cells.length,
    withOne: withOne.length,
    withSeveral: cells.filter((cell) => causes(cell) > 1).length,
    told: {
      told: told.length,
      closed: cells.filter((cell) => cell.told === "closed").length,
      undecided: cells.filter((cell) => cell.told === "undecided").length,
    },
    calibration: calibrationBins(
      cells.flatMap(({ truth, explained }) =>
        explained.map((probability, k) => ({ probability, true: k === truth })),
      ),
    ),
    firstChoice: { told: firstChoice(told), all: firstChoice(cells) },
    unlike: cells.filter(({ unlike }) => unlike).length,
    logScore: { explained: logScore(cells, "explained"), best: logScore(cells, "best") },
    difference: differenceOf(told),
    bySize: SIZES.slice(1).map((to, i) => ({
      ...{ from: SIZES[i]!, to },
      ...share(withOne.filter((cell) => inUnits(cell) >= SIZES[i]! && inUnits(cell) < to)),
    })),
    byCause: hypotheses.map((own, k) => ({
      cause: own.length > 1 ? "several at once" : (own[0]?.name ?? "nothing but scatter"),
      ...share(cells.filter(({ truth }) => truth === k)),
    })),
    closedRise: Math.max(1, ...cells.filter((c) => c.told === "closed").map((c) => c.largestRise)),
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
