import { given } from "../../cli/arguments.js";
import { isUserError, UserError } from "../../core/errors.js";
import { DEGREE } from "../../core/geometry.js";
import { present } from "../../core/numeric/dense.js";
import { formatAngle, formatLength, parseAngle, parseLength } from "../../core/quantity/index.js";
import { budgetBars } from "../../render/charts/budget-bars.js";
import type { ChartOptions } from "../../render/charts/chart-spec.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import type { HtmlOutput } from "../../render/notebook/display.js";
import type { TablePictures } from "../../render/pictures.js";
import { plainTable, textTable, wrapped } from "../../render/text.js";
import type { VarianceLine } from "./analysis-of-variance.js";
import { type GaugeStudy, type Spread, studyGauge } from "./gauge-study.js";
import { type GaugeTable, loadGaugeTable } from "./gauge-table.js";

export interface GaugeFlags {
  readonly json?: boolean;
  readonly details?: boolean;
  /** Full width of the tolerance as it was written; without a unit in that of the table, `0.3`, `8 thou`. */
  readonly tolerance?: string;
}

/** `sukima gauge FILE`: how far each instrument of a table of repeated readings repeats, and its readers agree. */
export function gaugeCommand(file: string, { json, details, tolerance }: GaugeFlags): string {
  const studies = gaugeStudies(file, tolerance);
  if (json) return JSON.stringify(studies.map(gaugeJson), null, 1);
  return studies.map((study) => gaugeText(study, details ?? false)).join("\n");
}

/** A study of each instrument in a table of repeated readings; the tolerance as in {@link GaugeFlags}. */
const gaugeStudies = (file: string, tolerance?: string): NamedStudy[] =>
  loadGaugeTable(file).map((table) => {
    const { instrument, kind, unit } = table;
    const units = unit === "in" || unit === "thou" ? "in" : "mm";
    return { instrument, kind, units, study: studied(table, tolerance) };
  });

function studied(
  { readings, kind, unit, instrument }: GaugeTable,
  tolerance: string | undefined,
): GaugeStudy {
  const width = tolerance === undefined ? undefined : readTolerance(tolerance, kind, unit);
  try {
    return studyGauge(readings, given({ tolerance: width }));
  } catch (error) {
    if (!isUserError(error, "gauge")) throw error;
    const message = instrument === "" ? error.message : `${instrument}: ${error.message}`;
    throw new UserError("command", message, { key: error.key });
  }
}

/** mm or rad; `undefined` where it is of the other kind: a table may have instruments of both. */
function readTolerance(text: string, kind: "angle" | "length", unit: string): number | undefined {
  const rules = { what: "--tolerance", sign: "positive" } as const;
  const bare = !/[\p{L}°'"′″]/u.test(text);
  const asAngle = bare ? kind === "angle" : /[°'′]|deg|arc|rad/i.test(text);
  if (asAngle !== (kind === "angle")) return undefined;
  const written = bare ? `${text} ${unit}` : text;
  return asAngle ? parseAngle(written, rules) : parseLength(written, { ...rules, unit: "mm" });
}

/** A study of one instrument, and what its readings are of. */
export interface NamedStudy {
  readonly instrument: string;
  readonly kind: "angle" | "length";
  readonly units: "mm" | "in";
  readonly study: GaugeStudy;
}

/** A gauge study for reading: how far the instrument repeats, how far its readers agree, and what to write into the job. */
export function gaugeText({ instrument, kind, units, study }: NamedStudy, details = true): string {
  const { components, ranges, analysis } = study;
  const { repeatability, reproducibility, gauge, parts, total } = components;
  const shown = (value: number): string => spreadText(value, kind, units);
  const degrees = (nu: number): string => (nu > 0 ? nu.toFixed(nu < 10 ? 1 : 0) : "–");
  const rows = [
    [
      "one reader, one part again",
      shown(repeatability.standardDeviation),
      shown(ranges.repeatability),
      degrees(repeatability.degreesOfFreedom),
    ],
    ...(reproducibility
      ? [
          [
            "from reader to reader",
            shown(reproducibility.standardDeviation),
            shown(ranges.reproducibility),
            degrees(reproducibility.degreesOfFreedom),
          ],
        ]
      : []),
    [
      "gauge: both together",
      shown(gauge.standardDeviation),
      shown(ranges.gauge),
      degrees(gauge.degreesOfFreedom),
    ],
    [
      "from part to part",
      shown(parts.standardDeviation),
      shown(ranges.parts),
      degrees(parts.degreesOfFreedom),
    ],
    ["all together", shown(total), shown(ranges.total), ""],
  ];
  return [
    `THE GAUGE${instrument === "" ? "" : ` ${instrument}`}: ${study.parts} parts, ${study.readers} ${study.readers === 1 ? "reader" : "readers"}, ${study.repeats} readings each`,
    ...judgement(study),
    ...(gauge.standardDeviation > 0
      ? [
          wrapped(
            `Write into job.yaml, at this instrument: repeatability: ${jobText(gauge.standardDeviation, kind, units)} if anyone here may take the readings${reproducibility ? `, ${jobText(repeatability.standardDeviation, kind, units)} if it is always the same person` : ""}. Where the instrument shows coarse steps this errs on the safe side: the job counts its step (resolution) as well.`,
          ),
        ]
      : []),
    ...(repeatability.standardDeviation === 0
      ? [
          wrapped(
            "Every repeat read the same: the step that the instrument shows is too coarse to tell how far it repeats. In the job its resolution alone counts.",
          ),
        ]
      : []),
    ...(details
      ? [
          textTable(
            ["standard deviation", "analysis of variance", "ranges", "degrees of freedom"],
            rows,
            [1, 2, 3],
          ),
          "",
          ...(analysis.interaction
            ? [
                wrapped(
                  analysis.pooled
                    ? `Any interaction of readers and parts may be chance (p = ${present(analysis.interaction.probability).toFixed(2)}, pooled from 0.25 on).`
                    : `Some parts read differently for some readers (p = ${present(analysis.interaction.probability).toFixed(3)}): counted with the readers.`,
                ),
              ]
            : [wrapped("One reader only: how far readers agree was not studied.")]),
        ]
      : ["--details adds the table that this rests on."]),
    "",
  ].join("\n");
}

function judgement({ distinct, shareOfTolerance }: GaugeStudy): string[] {
  const groups =
    distinct === null
      ? []
      : [
          distinct < 1
            ? "These parts are too alike for the gauge to tell them apart."
            : `The gauge can sort these parts into ${Math.floor(distinct)} group${Math.floor(distinct) === 1 ? "" : "s"} by size.`,
        ];
  const share =
    shareOfTolerance === null
      ? []
      : [`Six of its standard deviations take ${(100 * shareOfTolerance).toFixed(0)} % of the tolerance.`];
  const sentences = [...groups, ...share];
  return sentences.length > 0 ? [wrapped(sentences.join(" "))] : [];
}

function spreadText(value: number, kind: "angle" | "length", units: "mm" | "in"): string {
  if (kind === "angle") return formatAngle(value, { digits: 3 });
  return units === "mm"
    ? formatLength(value, { unit: "mm", digits: 4 })
    : formatLength(value, { unit: "in", style: "thou", digits: 2 });
}

/** As a job file takes it, two significant digits. */
function jobText(value: number, kind: "angle" | "length", units: "mm" | "in"): string {
  const [size, name] = kind === "angle" ? [DEGREE, "deg"] : units === "mm" ? [1, "mm"] : [0.0254, "thou"];
  return `${Number((value / size).toPrecision(2))} ${name}`;
}

/** A gauge study as plain data for other programs: standard deviations in mm or degrees, sums of squares in their squares. */
export function gaugeJson({ instrument, kind, study }: NamedStudy): object {
  const unit = kind === "angle" ? DEGREE : 1;
  const spread = (one: Spread | null) =>
    one && { standardDeviation: one.standardDeviation / unit, degreesOfFreedom: one.degreesOfFreedom };
  const line = (one: VarianceLine | null) =>
    one && { ...one, sumOfSquares: one.sumOfSquares / unit ** 2, meanSquare: one.meanSquare / unit ** 2 };
  const { analysis, components, ranges } = study;
  return {
    instrument,
    unit: kind === "angle" ? "deg" : "mm",
    parts: study.parts,
    readers: study.readers,
    repeats: study.repeats,
    analysis: {
      parts: line(analysis.parts),
      readers: line(analysis.readers),
      interaction: line(analysis.interaction),
      repeats: line(analysis.repeats),
      pooled: line(analysis.pooled),
    },
    components: {
      repeatability: spread(components.repeatability),
      reproducibility: spread(components.reproducibility),
      interaction: components.interaction / unit,
      gauge: spread(components.gauge),
      parts: spread(components.parts),
      total: components.total / unit,
    },
    ranges: Object.fromEntries(Object.entries(ranges).map(([name, value]) => [name, value / unit])),
    distinct: study.distinct,
    shareOfTolerance: study.shareOfTolerance,
  };
}

/** Where the variance of a study's readings comes from. */
export function drawGauge(
  { components }: GaugeStudy,
  options: Pick<ChartOptions, "width"> = {},
): Promise<Chart> {
  const { repeatability, reproducibility, parts, total } = components;
  const share = (standardDeviation: number): number => (standardDeviation / total) ** 2;
  const rows = [
    { label: "from part to part", value: share(parts.standardDeviation) },
    { label: "one reader, one part again", value: share(repeatability.standardDeviation) },
    ...(reproducibility
      ? [{ label: "from reader to reader", value: share(reproducibility.standardDeviation) }]
      : []),
  ];
  const title = "Why the readings differ";
  return drawChart(
    budgetBars(rows, {
      ...options,
      unit: "share",
      title,
      axisTitle: "Share of the variance of the readings",
    }),
  );
}

/**
 * What a study found, by both methods.
 *
 * @example
 * const [{ readings: measured, kind }] = loadGaugeTable("data/alcove-screen/gauge.csv");
 * gaugeTable(studyGauge(measured), kind).html.startsWith("<table") // true
 */
export function gaugeTable(
  { components, ranges }: GaugeStudy,
  kind: "angle" | "length",
  units: "mm" | "in" = "mm",
): HtmlOutput {
  const text = (value: number): string => {
    if (kind === "angle") return formatAngle(value, { digits: 3 });
    return units === "mm"
      ? formatLength(value, { unit: "mm", digits: 4 })
      : formatLength(value, { unit: "in", style: "thou", digits: 2 });
  };
  const { repeatability, reproducibility, gauge, parts } = components;
  const row = (name: string, spread: typeof gauge, byRanges: number): string[] => [
    name,
    text(spread.standardDeviation),
    text(byRanges),
    spread.degreesOfFreedom.toFixed(spread.degreesOfFreedom < 10 ? 1 : 0),
  ];
  const rows = [
    row("one reader, one part again", repeatability, ranges.repeatability),
    ...(reproducibility ? [row("from reader to reader", reproducibility, ranges.reproducibility)] : []),
    row("gauge: both together", gauge, ranges.gauge),
    row("from part to part", parts, ranges.parts),
  ];
  return plainTable(
    ["standard deviation", "analysis of variance", "ranges", "degrees of freedom"],
    rows,
    [1, 2, 3],
  );
}

/** The pictures of a table of repeated readings, one for each instrument. */
export const GAUGE_PICTURES: TablePictures = {
  name: "gauge",
  shows: "why repeated readings differ",
  of: (file) =>
    gaugeStudies(file).map(({ instrument, study }) => ({ of: instrument, draw: () => drawGauge(study) })),
};
