import type { AdviceLine, DepartureFigures, SourceLine, WorldFigures } from "./study-figures.js";

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
const inUnits = (value: number, angular: boolean): string =>
  angular ? `${((value * 180) / Math.PI).toFixed(3)}°` : `${value.toFixed(4)} mm`;

/** The figures of one world, for reading. */
export function worldText(figures: WorldFigures): string {
  const { world, title, dataSets, failed, closed, lines, advice, departures } = figures;
  return [
    `${world}: ${title}. ${dataSets} data sets${failed.length > 0 ? `, ${failed.length} NOT FITTED` : ""}; ${percent(closed)} of the readings say "nothing goes in".`,
    ...(lines.length > 0 ? table([HEADINGS, ...lines.map(cells)]) : []),
    ...(advice ? adviceText(advice) : []),
    ...(departures ? departuresText(departures) : []),
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
  const widths = rows[0]!.map((_, c) => Math.max(...rows.map((row) => row[c]!.length)));
  return rows.map((row) => `  ${row.map((cell, c) => cell.padEnd(widths[c]!)).join("  ")}`.trimEnd());
}

const share = (part: number, whole: number): string =>
  `${part} of ${whole}${whole > 0 ? ` (${percent(part / whole)})` : ""}`;

function adviceText(line: AdviceLine): string[] {
  const { asked, adjusted, wrong, held, notWorth, movedInVain, bounds, followed } = line;
  return [
    `  Advice in ${asked} data sets: no move is ordered at all in ${held}; something is moved in ${adjusted}; true loss higher afterwards, cost included, in ${share(wrong, adjusted)}.`,
    `  Mean true loss ${line.before.toFixed(2)} scrapped pieces before, ${line.after.toFixed(2)} after with its cost; the fits expected ${line.expectedBefore.toFixed(2)} and ${line.expectedAfter.toFixed(2)}. "Measure first" for ${share(line.measureFirst, line.adjusters)} adjusters.`,
    ...(followed
      ? [
          `  A reading is asked for first in ${share(followed.asked, asked)} data sets, with a borrowed instrument in ${followed.borrowed}. There the mean true loss is ${followed.before.toFixed(2)} before, ${followed.without.toFixed(2)} with the moves that do not wait, ${followed.after.toFixed(2)} with those made after the reading, all costs included; it is higher than before in ${followed.wrongWithout} without the reading, in ${followed.wrongAfter} with it.`,
        ]
      : []),
    `  Adjusters that no true move was worth its cost for: moved ${share(movedInVain, notWorth)}, bounds ${percent(bounds[0])} to ${percent(bounds[1])}: ${line.met}.`,
  ];
}

const DEPARTURE_HEADINGS = [
  "the shop departs by",
  "data sets",
  "noticed",
  "no move ordered",
  "named first",
  "first or second",
  "moves ordered",
  "of these harm",
  "coverage at the end",
];

function departuresText({ lines, targets }: DepartureFigures): string[] {
  const rows = lines.map((line) => [
    line.departure,
    String(line.dataSets),
    percent(line.noticed / line.dataSets),
    percent(line.held / line.dataSets),
    ...(line.departure === "none"
      ? ["", ""]
      : [percent(line.named / line.dataSets), percent(line.namedOrSecond / line.dataSets)]),
    String(line.adjusted),
    String(line.harmed),
    percent(line.coverage),
  ]);
  return [
    ...table([DEPARTURE_HEADINGS, ...rows]),
    ...targets.map(
      ({ what, share: found, bounds: [low, high], target, met }) =>
        `  ${what}: ${percent(found)}, bounds ${percent(low)} to ${percent(high)}, target ${percent(target)}: ${met}.`,
    ),
  ];
}
