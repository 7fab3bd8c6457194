import type { AdviceLine, SourceLine, WorldFigures } from "./study-figures.js";

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
const inUnits = (value: number, angular: boolean): string =>
  angular ? `${((value * 180) / Math.PI).toFixed(3)}°` : `${value.toFixed(4)} mm`;

/** The figures of one world, for reading. */
export function worldText({ world, title, dataSets, failed, closed, lines, advice }: WorldFigures): string {
  return [
    `${world}: ${title}. ${dataSets} data sets${failed.length > 0 ? `, ${failed.length} NOT FITTED` : ""}; ${percent(closed)} of the readings say "nothing goes in".`,
    ...table([HEADINGS, ...lines.map(cells)]),
    ...(advice ? adviceText(advice) : []),
  ].join("\n");
}

const HEADINGS = [
  "source",
  "identified",
  "learned",
  "bias / u",
  "coverage",
  "bounds",
  "mean width",
  "targets",
];

function cells(line: SourceLine): string[] {
  const { met, angular } = line;
  const said = Object.entries(met).flatMap(([what, verdict]) =>
    verdict === null ? [] : [`${what === "priorSpeaks" ? "says so" : what} ${verdict}`],
  );
  return [
    line.source,
    line.identified ? "yes" : `no (prior speaks in ${percent(line.priorSpeaks)})`,
    percent(line.learned),
    `${line.bias.toFixed(3)} ± ${line.biasError.toFixed(3)}`,
    percent(line.coverage),
    `${percent(line.bounds[0])} to ${percent(line.bounds[1])}`,
    inUnits(line.width, angular),
    said.join(", "),
  ];
}

function table(rows: readonly (readonly string[])[]): string[] {
  const widths = HEADINGS.map((_, c) => Math.max(...rows.map((row) => row[c]!.length)));
  return rows.map((row) => `  ${row.map((cell, c) => cell.padEnd(widths[c]!)).join("  ")}`.trimEnd());
}

function adviceText(line: AdviceLine): string[] {
  const { asked, adjusted, wrong, notWorth, movedInVain, bounds } = line;
  const share = (part: number, whole: number): string =>
    `${part} of ${whole}${whole > 0 ? ` (${percent(part / whole)})` : ""}`;
  return [
    `  Advice in ${asked} data sets: moves something in ${adjusted}; true loss higher afterwards, cost included, in ${share(wrong, adjusted)}.`,
    `  Mean true loss ${line.before.toFixed(2)} scrapped pieces before, ${line.after.toFixed(2)} after with its cost; the fits expected ${line.expectedBefore.toFixed(2)} and ${line.expectedAfter.toFixed(2)}. "Measure first" for ${share(line.measureFirst, line.adjusters)} adjusters.`,
    `  Adjusters that no true move was worth its cost for: moved ${share(movedInVain, notWorth)}, bounds ${percent(bounds[0])} to ${percent(bounds[1])}: ${line.met}.`,
  ];
}
