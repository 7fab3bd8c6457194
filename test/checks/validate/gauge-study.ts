import {
  analysisOfVariance,
  crossedTable,
  rangeConstants,
  rangeDivisor,
} from "../../../src/features/gauge/analysis-of-variance.js";
import { studyGauge } from "../../../src/features/gauge/gauge-study.js";
import { typeA } from "../../../src/uncertainty/type-a.js";
import { asWritten, type Check, compareRows, type Origin, printedTo, published, type Row } from "./check.js";

interface Study {
  data: [value: number, part: number, reader: string, trial: number][];
  meanSquares: Record<"part" | "operator" | "interaction" | "repeatability", [number, number]>;
  interactionF: number;
  interactionP: number;
  variances: Record<"repeatability" | "reproducibility" | "gauge" | "part" | "total", number>;
  gaugePercentOfTotal: number;
  groupsToldApart: number;
  gaugePercentOfTolerance: number;
  tolerance: number;
  averageAndRange: Ranges;
  averageAndRangePrinted: Ranges;
}
type Ranges = Record<"equipment" | "appraiser" | "gauge" | "part" | "total", number>;
interface Constants {
  printed: [n: number, d2: number, d3: number][];
  recomputed: [n: number, d2: number, d3: number][];
}
interface Voltage {
  observationsADay: number;
  days: [mean: number, standardDeviation: number][];
  results: Record<"mean" | "scatterOfMeans" | "within" | "betweenRoot" | "F" | "uncertaintyOfMean", number>;
}

/** The gauge study: the published example of ten parts and three readers, the constants of ranges, and ten days of a voltage standard. */
export const checks = (): Check[] => [
  ...example(),
  ...freedom(),
  ...constants(),
  ...voltage(),
  ...interaction(),
];

function example(): Check[] {
  const known = published<Study>("gauge-study");
  const readings = known.data.map(([value, part, reader]) => ({ part: String(part), reader, value }));
  const { analysis, components, ranges, distinct, shareOfTolerance } = studyGauge(readings, {
    tolerance: known.tolerance,
  });
  const { parts, readers, interaction, repeats } = analysis;
  const lines = { part: parts, operator: readers, interaction, repeatability: repeats };
  const named = Object.keys(known.meanSquares) as (keyof Study["meanSquares"])[];
  const nan = Number.NaN;
  const variances = {
    repeatability: components.repeatability.standardDeviation ** 2,
    reproducibility: (components.reproducibility?.standardDeviation ?? nan) ** 2,
    gauge: components.gauge.standardDeviation ** 2,
    part: components.parts.standardDeviation ** 2,
    total: components.total ** 2,
  };
  const byRanges: Ranges = {
    equipment: ranges.repeatability,
    appraiser: ranges.reproducibility,
    gauge: ranges.gauge,
    part: ranges.parts,
    total: ranges.total,
  };
  const keys = Object.keys(byRanges) as (keyof Ranges)[];
  const share = (100 * components.gauge.standardDeviation) / components.total;
  return compareRows("gauge", AIAG, [
    ...named.flatMap((name): Row[] => [
      [
        `ms-${name}`,
        `mean square, ${name}`,
        known.meanSquares[name][0],
        lines[name]?.meanSquare ?? nan,
        printedTo(5),
      ],
      [
        `dof-${name}`,
        `degrees of freedom, ${name}`,
        known.meanSquares[name][1],
        lines[name]?.degreesOfFreedom ?? nan,
        0,
      ],
    ]),
    ["F", "F of the interaction", known.interactionF, interaction?.f ?? nan, printedTo(3)],
    ["p", "chance of a larger one", known.interactionP, interaction?.probability ?? nan, printedTo(3)],
    ...(Object.keys(variances) as (keyof typeof variances)[]).map(
      (name): Row => [
        `variance-${name}`,
        `variance, ${name}`,
        known.variances[name],
        variances[name],
        printedTo(5),
      ],
    ),
    ["share", "gauge as % of the total standard deviation", known.gaugePercentOfTotal, share, printedTo(2)],
    [
      "tolerance",
      "six standard deviations of the gauge as % of the tolerance",
      known.gaugePercentOfTolerance,
      100 * (shareOfTolerance ?? nan),
      printedTo(2),
    ],
    ["groups", "groups of parts told apart", known.groupsToldApart, Math.floor(distinct ?? Number.NaN), 0],
    // The manual's factors have four digits, ours are not rounded: 2e-4.
    ...keys.map(
      (name): Row => [
        `ranges-${name}`,
        `by averages and ranges, ${name}`,
        known.averageAndRange[name],
        byRanges[name],
        2e-4 * known.averageAndRange[name],
        "recomputed",
      ],
    ),
    ...keys.map(
      (name): Row => [
        `ranges-${name}-print`,
        `the same as printed, ${name}`,
        known.averageAndRangePrinted[name],
        byRanges[name],
        4e-4 * known.averageAndRangePrinted[name],
        "remembered",
      ],
    ),
  ]);
}

const AIAG: Origin = {
  document: "AIAG, Measurement Systems Analysis",
  place: "ten parts, three operators, three trials",
  kind: "printed",
};

/**
 * Degrees of freedom of sums of mean squares by Welch and Satterthwaite, in which each mean square counts once: of 10 parts, 3 readers and 3 repeats the gauge is
 * readers/30 + (1 − 1/30)·pooled, the reproducibility readers/30 − pooled/30.
 */
function freedom(): Check[] {
  const known = published<Study>("gauge-study");
  const readings = known.data.map(([value, part, reader]) => ({ part: String(part), reader, value }));
  const { analysis, components } = studyGauge(readings);
  const [r, e] = [analysis.readers?.meanSquare ?? Number.NaN, analysis.pooled?.meanSquare ?? Number.NaN];
  const dof = (a: number, b: number): number => (a * r + b * e) ** 2 / ((a * r) ** 2 / 2 + (b * e) ** 2 / 78);
  const place = "Welch and Satterthwaite, by hand from the mean squares";
  return compareRows("gauge-freedom", { document: "closed forms", place, kind: "closed form" }, [
    [
      "gauge",
      "degrees of freedom of the gauge",
      dof(1 / 30, 29 / 30),
      components.gauge.degreesOfFreedom,
      1e-9,
    ],
    [
      "readers",
      "degrees of freedom of the reproducibility",
      dof(1 / 30, -1 / 30),
      components.reproducibility?.degreesOfFreedom ?? Number.NaN,
      1e-9,
    ],
    [
      "repeats",
      "degrees of freedom of the repeatability",
      78,
      components.repeatability.degreesOfFreedom,
      1e-9,
    ],
  ]);
}

function constants(): Check[] {
  const { printed, recomputed } = published<Constants>("range-constants");
  const rows = (list: Constants["printed"], kind: "printed" | "recomputed"): Row[] =>
    list.flatMap(([n, d2, d3]): Row[] => {
      const ours = rangeConstants(n);
      const decimals = kind === "printed" ? 3 : 5;
      return [
        [`d2-${n}-${kind}`, `d2 for ${n} readings`, d2, ours.d2, printedTo(decimals), kind],
        [`d3-${n}-${kind}`, `d3 for ${n} readings`, d3, ours.d3, printedTo(decimals), kind],
      ];
    });
  const [two, three] = [rangeConstants(2), rangeConstants(3)];
  const root = Math.sqrt(Math.PI);
  return [
    ...compareRows(
      "ranges",
      {
        document: "Montgomery, Introduction to Statistical Quality Control",
        place: "appendix VI",
        kind: "printed",
      },
      [...rows(printed, "printed"), ...rows(recomputed, "recomputed")],
    ),
    ...compareRows("ranges", { document: "closed forms", place: "by hand", kind: "closed form" }, [
      ["d2-2", "d2 for 2 readings, 2/√π", 2 / root, two.d2, 1e-10],
      ["d3-2", "d3 for 2 readings, √(2 − 4/π)", Math.sqrt(2 - 4 / Math.PI), two.d3, 1e-10],
      ["d2-3", "d2 for 3 readings, 3/√π", 3 / root, three.d2, 1e-10],
      ["one", "divisor of a single range of 2, √2", Math.SQRT2, rangeDivisor(2, 1), 1e-10],
    ]),
  ];
}

/** The table prints means and standard deviations a day: five observations are laid so that they have both. */
function voltage(): Check[] {
  const { observationsADay, days, results } = published<Voltage>("gum-h5");
  const pattern = [-Math.sqrt(1.6), -Math.sqrt(0.4), 0, Math.sqrt(0.4), Math.sqrt(1.6)];
  const readings = days.flatMap(([mean, deviation], day) =>
    pattern.map((step) => ({ part: String(day), reader: "", value: 10e6 + mean + step * deviation })),
  );
  const { parts, repeats } = analysisOfVariance(crossedTable(readings));
  const mean = typeA(readings.map(({ value }) => value)).mean - 10e6;
  const scatter = Math.sqrt(parts.meanSquare / observationsADay);
  return compareRows("gum-h5", { document: "JCGM 100:2008", place: "H.5", kind: "remembered" }, [
    ["mean", "mean of ten days, µV above 10 V", results.mean, mean, asWritten(results.mean) + 0.1],
    ["scatter", "standard deviation of the day means, µV", results.scatterOfMeans, scatter, printedTo(0)],
    [
      "within",
      "pooled standard deviation within a day, µV",
      results.within,
      Math.sqrt(repeats.meanSquare),
      printedTo(0),
    ],
    [
      "between",
      "root of the mean square between days, µV",
      results.betweenRoot,
      Math.sqrt(parts.meanSquare),
      printedTo(0),
    ],
    // Printed from the rounded roots 128 and 85: 2.268; unrounded 2.261.
    ["F", "F (the print is from rounded figures)", results.F, parts.f ?? Number.NaN, 0.02],
    [
      "u",
      "standard uncertainty of the mean, µV",
      results.uncertaintyOfMean,
      scatter / Math.sqrt(days.length),
      printedTo(0),
    ],
  ]);
}

/** Four parts, two readers, two repeats at ±0.01; reader B reads the odd parts high by 1. Cells minus the means of row and column are ±¼. */
function interaction(): Check[] {
  const readings = ["1", "2", "3", "4"].flatMap((part) =>
    ["A", "B"].flatMap((reader) =>
      [-0.01, 0.01].map((off) => ({
        part,
        reader,
        value: Number(part) + off + (reader === "B" && Number(part) % 2 === 1 ? 1 : 0),
      })),
    ),
  );
  const { analysis, components } = studyGauge(readings);
  return compareRows("gauge-by-hand", { document: "closed forms", place: "by hand", kind: "closed form" }, [
    [
      "interaction",
      "mean square of an interaction, 2·8·(1/16)/3",
      1 / 3,
      analysis.interaction?.meanSquare ?? Number.NaN,
      1e-12,
    ],
    ["component", "its variance, (1/3 − 0.0002)/2", (1 / 3 - 0.0002) / 2, components.interaction ** 2, 1e-12],
    ["repeats", "variance of the repeats", 0.0002, components.repeatability.standardDeviation ** 2, 1e-12],
  ]);
}
