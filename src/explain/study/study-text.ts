import type { StudyFigures } from "./study-figures.js";

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

/** The figures of a study, for reading. */
export function studyText(figures: StudyFigures): string {
  const { cells, withOne, withSeveral, told, calibration, firstChoice, logScore, difference } = figures;
  const choice = ({
    cells: n,
    explained,
    best,
    ratio,
    ratioError,
  }: StudyFigures["firstChoice"]["all"]): string =>
    `${n} cells: first choice right ${percent(explained)}; best possible ${percent(best)}; ratio ${ratio.toFixed(3)} ± ${(2 * ratioError).toFixed(3)}`;
  return [
    `${cells} cells, ${withOne} with one cause, ${withSeveral} with several. Told ${told.told}, nothing goes in ${told.closed}, undecided ${told.undecided}.`,
    "Said · true · 99 % bounds · statements",
    ...calibration.map(
      (bin) =>
        `${percent(bin.stated)} · ${percent(bin.true)} · ${percent(bin.bounds[0])} to ${percent(bin.bounds[1])} · ${bin.statements}${bin.within ? "" : "  OUTSIDE"}`,
    ),
    `Of the cells that told something, ${choice(firstChoice.told)}.`,
    `Of all, ${choice(firstChoice.all)}.`,
    `The best classifier knows none like ${figures.unlike} of them.`,
    `Mean log probability of the truth: ${logScore.explained.toFixed(4)}; best possible ${logScore.best.toFixed(4)}.`,
    `Difference from the best classifier's probabilities: median ${difference.median.toFixed(3)}, largest ${difference.largest.toFixed(3)} (${difference.cells} cells).`,
    ...figures.bySize.map(
      (row) =>
        `size ${row.from} to ${row.to} s: ${row.cells} cells, told ${percent(row.told)}, right when told ${percent(row.right)}`,
    ),
    ...figures.byCause.map(
      (row) =>
        `${row.cause}: ${row.cells} cells, told ${percent(row.told)}, right when told ${percent(row.right)}`,
    ),
    `Where nothing goes in, the odds of no hypothesis rose by more than a factor ${figures.closedRise.toFixed(2)}.`,
  ].join("\n");
}
