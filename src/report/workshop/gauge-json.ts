import type { VarianceLine } from "../../gauge/analysis-of-variance.js";
import type { Spread } from "../../gauge/gauge-study.js";
import type { NamedStudy } from "./gauge-text.js";

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
