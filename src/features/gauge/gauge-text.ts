import { formatAngle, formatLength } from "../../core/quantity/index.js";
import { textTable, wrapped } from "../../render/text.js";
import type { VarianceLine } from "./analysis-of-variance.js";
import type { GaugeStudy, Spread } from "./gauge-study.js";

/** A study of one instrument, and what its readings are of. */
export interface NamedStudy {
  readonly instrument: string;
  readonly kind: "angle" | "length";
  readonly units: "mm" | "in";
  readonly study: GaugeStudy;
}

/** A gauge study for reading: how far the instrument repeats, how far its readers agree, and what to write into the job. */
export function gaugeText({ instrument, kind, units, study }: NamedStudy): string {
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
              ? `Readers and parts do not interact beyond luck (p = ${analysis.interaction.probability!.toFixed(2)}, pooled from 0.25 on).`
              : `Some parts read differently for some readers (p = ${analysis.interaction.probability!.toFixed(3)}): counted with the readers.`,
          ),
        ]
      : [wrapped("One reader only: how far readers agree was not studied.")]),
    wrapped(
      `The gauge tells ${Math.floor(study.distinct)} groups of these parts apart.${study.shareOfTolerance === null ? "" : ` Six of its standard deviations take ${(100 * study.shareOfTolerance).toFixed(0)} % of the tolerance.`}`,
    ),
    wrapped(
      `For the job: repeatability: ${jobText(gauge.standardDeviation, kind)} when anyone here may take the readings${reproducibility ? `, ${jobText(repeatability.standardDeviation, kind)} when always the same one does` : ""}. These readings were rounded to the step that the instrument shows, which the job counts besides: a step as coarse as the repeats is counted twice, on the safe side.`,
    ),
    ...(repeatability.standardDeviation === 0
      ? [
          wrapped(
            "Every repeat read the same: the instrument's step hides how far it repeats, and its resolution speaks.",
          ),
        ]
      : []),
    "",
  ].join("\n");
}

function spreadText(value: number, kind: "angle" | "length", units: "mm" | "in"): string {
  if (kind === "angle") return formatAngle(value, { digits: 3 });
  return units === "mm"
    ? formatLength(value, { unit: "mm", digits: 4 })
    : formatLength(value, { unit: "in", style: "thou", digits: 2 });
}

/** As a job file takes it, two significant digits. */
function jobText(value: number, kind: "angle" | "length"): string {
  const inUnit = kind === "angle" ? (value * 180) / Math.PI : value;
  return `${Number(inUnit.toPrecision(2))} ${kind === "angle" ? "deg" : "mm"}`;
}

/** A gauge study as plain data for other programs: standard deviations in mm or degrees, sums of squares in their squares. */
export function gaugeJson({ instrument, kind, study }: NamedStudy): object {
  const unit = kind === "angle" ? Math.PI / 180 : 1;
  const spread = (one: Spread | null) =>
    one && { standardDeviation: one.standardDeviation / unit, degreesOfFreedom: one.degreesOfFreedom };
  const line = (one: VarianceLine | null) =>
    one && { ...one, sumOfSquares: one.sumOfSquares / unit ** 2, meanSquare: one.meanSquare / unit ** 2 };
  const { analysis, components, ranges } = study;
  return {
    ...{ instrument, unit: kind === "angle" ? "deg" : "mm" },
    ...{ parts: study.parts, readers: study.readers, repeats: study.repeats },
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
    ...{ distinct: study.distinct, shareOfTolerance: study.shareOfTolerance },
  };
}
