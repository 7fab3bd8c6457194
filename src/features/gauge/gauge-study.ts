import {
  analysisOfVariance,
  crossedTable,
  type GaugeReading,
  type RangesStudy,
  rangesMethod,
  type VarianceAnalysis,
  type VarianceLine,
} from "./analysis-of-variance.js";

/** A standard deviation found by the study, in the readings' unit, and the degrees of freedom behind it. */
export interface Spread {
  readonly standardDeviation: number;
  readonly degreesOfFreedom: number;
}

/** Variance components. Negative estimates count as 0. */
export interface GaugeComponents {
  /** One reader, one part, again and again. */
  readonly repeatability: Spread;
  /** From reader to reader, their interaction with the parts included; `null` for one reader: not studied. */
  readonly reproducibility: Spread | null;
  /** Part of the reproducibility that depends on the part, a standard deviation in mm or rad; 0 when it was pooled. */
  readonly interaction: number;
  /** Repeatability and reproducibility together: what an instrument's readings scatter by when anyone may take them. */
  readonly gauge: Spread;
  /** From part to part. */
  readonly parts: Spread;
  /** Standard deviation of everything together, mm or rad. */
  readonly total: number;
}

/** Whether and how far an instrument repeats, by analysis of variance and beside it by ranges. */
export interface GaugeStudy {
  readonly parts: number;
  readonly readers: number;
  readonly repeats: number;
  readonly analysis: VarianceAnalysis;
  readonly components: GaugeComponents;
  readonly ranges: RangesStudy;
  /** How many groups of parts the gauge can tell apart, √2 times parts over gauge, not rounded down; `null` where all repeats and readers agree. */
  readonly distinct: number | null;
  /** 6 standard deviations of the gauge as a share of the tolerance's full width; `null` where none was given. */
  readonly shareOfTolerance: number | null;
}

/** What a gauge is judged against. */
export interface GaugeStudyOptions {
  /** Full width of the tolerance the gauge is for, in the readings' unit. */
  readonly tolerance?: number;
}

/**
 * A crossed gauge study.
 *
 * @throws UserError (code "gauge") when the readings are not balanced, or too few.
 * @example
 * const [table] = loadGaugeTable("data/alcove-screen/gauge.csv");
 * studyGauge(table.readings).components.gauge.standardDeviation // 0.01381
 */
export function studyGauge(
  readings: readonly GaugeReading[],
  { tolerance }: GaugeStudyOptions = {},
): GaugeStudy {
  const table = crossedTable(readings);
  const analysis = analysisOfVariance(table);
  const sizes = { parts: table.parts.length, readers: table.readers.length, repeats: table.repeats };
  const components = componentsOf(analysis, sizes);
  const gauge = components.gauge.standardDeviation;
  return {
    ...sizes,
    analysis,
    components,
    ranges: rangesMethod(table),
    distinct: gauge > 0 ? (Math.SQRT2 * components.parts.standardDeviation) / gauge : null,
    shareOfTolerance: tolerance === undefined ? null : (6 * gauge) / tolerance,
  };
}

interface Sizes {
  readonly parts: number;
  readonly readers: number;
  readonly repeats: number;
}

/** The variance components that an analysis of variance gives. */
export function componentsOf(
  analysis: VarianceAnalysis,
  { parts: p, readers: o, repeats: r }: Sizes,
): GaugeComponents {
  const { parts, readers, interaction, pooled } = analysis;
  const repeats = pooled ?? analysis.repeats;
  // What parts and readers are compared with: the interaction, unless it was pooled or there is one reader only.
  const base = pooled ?? interaction ?? repeats;
  const partTerms: Term[] = [
    [1 / (o * r), parts],
    [-1 / (o * r), base],
  ];
  const readerTerms: Term[] = readers
    ? [
        [1 / (p * r), readers],
        [-1 / (p * r), base],
      ]
    : [];
  const interactionTerms: Term[] =
    interaction && !pooled
      ? [
          [1 / r, interaction],
          [-1 / r, repeats],
        ]
      : [];
  const repeatTerms: Term[] = [[1, repeats]];
  const positive = (terms: Term[]): Term[] => (varianceOf(terms) > 0 ? terms : []);
  const between = [...positive(readerTerms), ...positive(interactionTerms)];
  const gauge = [...repeatTerms, ...between];
  return {
    repeatability: spread(repeatTerms),
    reproducibility: readers ? spread(between) : null,
    interaction: Math.sqrt(Math.max(0, varianceOf(interactionTerms))),
    gauge: spread(gauge),
    parts: spread(positive(partTerms)),
    total: Math.sqrt(varianceOf([...gauge, ...positive(partTerms)])),
  };
}

/** A mean square and its factor in a variance component. */
type Term = readonly [factor: number, line: VarianceLine];

const varianceOf = (terms: readonly Term[]): number =>
  terms.reduce((sum, [factor, { meanSquare }]) => sum + factor * meanSquare, 0);

/** Degrees of freedom of a sum of mean squares by Welch and Satterthwaite (JCGM 100:2008, G.4.1), each mean square once. */
function spread(terms: readonly Term[]): Spread {
  const variance = varianceOf(terms);
  const factors = new Map<VarianceLine, number>();
  for (const [factor, line] of terms) factors.set(line, (factors.get(line) ?? 0) + factor);
  const sum = [...factors].reduce(
    (total, [{ meanSquare, degreesOfFreedom }, factor]) =>
      total + (factor * meanSquare) ** 2 / degreesOfFreedom,
    0,
  );
  return { standardDeviation: Math.sqrt(variance), degreesOfFreedom: sum > 0 ? variance ** 2 / sum : 0 };
}
