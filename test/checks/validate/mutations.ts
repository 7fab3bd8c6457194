/** A small fault: text of a built file, and what takes its place. Each text stands there once. */
export interface Mutation {
  readonly name: string;
  /** Below `src` of the built checks. */
  readonly file: string;
  readonly edits: readonly (readonly [from: string, to: string])[];
  /** Beginning of the titles of the groups of which one must miss. */
  readonly groups: readonly string[];
}

const one = (name: string, file: string, from: string, to: string, ...groups: string[]): Mutation => ({
  name,
  file,
  groups,
  edits: [[from, to]],
});

const CHARTS = "features/batch/control-charts.js";
const ANOVA = "features/gauge/analysis-of-variance.js";
const STUDY = "features/gauge/gauge-study.js";
const SHAPES = "uncertainty/distributions.js";
const SPECIAL = "core/numeric/special-functions.js";
const STUDENT = "core/numeric/student-t.js";
const SQUARES = "core/numeric/least-squares.js";
const BLOCKS = "uncertainty/monte-carlo-blocks.js";
const DIFFERENCES = "uncertainty/differences.js";
const MOVEMENT = "model/wood/wood.js";
const READING = "inference/likelihood/reading-likelihood.js";

const BATCH = "Batch: charts";
const SOON = "Batch: how soon";
const PARTS = "Gauge study: parts";
const ONE_WAY = "Gauge study: one-way";
const FUNCTIONS = "Distributions";
const HIGHER = "Uncertainty: higher";
const WOOD = "Wood";
const MIXED = "Censored readings: values";
const LINEAR = "Least squares: linear";
const NONLINEAR = "Least squares: nonlinear";

/** The standing list: `npm run validate -- --mutate` puts each in, alone, and fails unless a check misses. */
export const MUTATIONS: readonly Mutation[] = [
  one(
    "limits of single pieces 0.3 % too wide",
    CHARTS,
    "[centre - LIMITS * standardDeviation, centre + LIMITS",
    "[centre - 3.01 * standardDeviation, centre + 3.01",
    BATCH,
  ),
  one("mean range of two pieces divided by 1.13", CHARTS, "2 / Math.sqrt(Math.PI)", "1.13", BATCH),
  one(
    "limit of a moving range from the wrong scatter",
    CHARTS,
    "LIMITS * D3_OF_TWO",
    "LIMITS * D2_OF_TWO",
    BATCH,
  ),
  one(
    "EWMA limits with the weight squared",
    CHARTS,
    "width * standardDeviation * Math.sqrt(weight / (2 - weight))",
    "width * standardDeviation * Math.sqrt(weight ** 2 / (2 - weight))",
    BATCH,
  ),
  one("EWMA starts at the first piece", CHARTS, "let average = target", "let average = values[0]", BATCH),
  one(
    "EWMA weights exchanged",
    CHARTS,
    "weight * value + (1 - weight) * average",
    "(1 - weight) * value + weight * average",
    BATCH,
  ),
  one("run length without its first piece", CHARTS, "* length, 1);", "* length, 0);", SOON),
  one(
    "creep begins a piece later",
    CHARTS,
    "(piece) => creep * piece",
    "(piece) => creep * (piece - 1)",
    SOON,
  ),
  one(
    "creep of single pieces begins a piece later",
    CHARTS,
    "const shift = creep * piece",
    "const shift = creep * (piece - 1)",
    SOON,
  ),
  one("chain of an EWMA chart with 31 states", CHARTS, "const STATES = 101", "const STATES = 31", SOON),
  one(
    "creep through too few pieces",
    "features/batch/watch-batch.js",
    "tQuantile(0.975, n - 2)",
    "tQuantile(0.975, n - 1)",
    BATCH,
  ),
  one(
    "false alarms without the target's own uncertainty",
    "features/batch/watch-batch.js",
    "signalled(z / Math.sqrt(from))",
    "signalled(z / from)",
    BATCH,
  ),
  one(
    "sum of squares of parts without its readers",
    ANOVA,
    "const ofParts = o * r *",
    "const ofParts = r *",
    PARTS,
  ),
  one(
    "sum of squares of readers without its repeats",
    ANOVA,
    "const ofReaders = p * r *",
    "const ofReaders = p *",
    PARTS,
  ),
  one(
    "interaction with one degree of freedom too many",
    ANOVA,
    "(p - 1) * (o - 1), repeatLine",
    "(p - 1) * (o - 1) + 1, repeatLine",
    PARTS,
  ),
  one(
    "repeats with one degree of freedom too many",
    ANOVA,
    "line(ofRepeats, p * o * (r - 1))",
    "line(ofRepeats, p * o * (r - 1) + 1)",
    PARTS,
  ),
  one("an interaction never pooled", ANOVA, "const POOL_FROM = 0.25", "const POOL_FROM = 0.99", PARTS),
  one("means of readings far from zero", ANOVA, "(value) => value - first", "(value) => value", ONE_WAY),
  one("variance of parts divided by the parts", STUDY, "[1 / (o * r), parts]", "[1 / (p * r), parts]", PARTS),
  one("groups told apart without the root of two", STUDY, "Math.SQRT2 * components", "components", PARTS),
  one("d2 by too coarse a rule", ANOVA, "const STEP = 0.05", "const STEP = 2.5", PARTS),
  one("d2 cut off", ANOVA, "const WIDEST = 16", "const WIDEST = 5", PARTS),
  one("a range's divisor without its square", ANOVA, "d3 ** 2 / groups", "d3 / groups", PARTS),
  one("F with its degrees of freedom exchanged", STUDENT, "nu1 / 2, nu2 / 2", "nu2 / 2, nu1 / 2", FUNCTIONS),
  one("F with its ratio the wrong way round", STUDENT, "(nu1 / nu2) * f", "(nu2 / nu1) * f", FUNCTIONS),
  one(
    "draws of Student's t with 2 % more degrees of freedom",
    SHAPES,
    "(-2 / nu)",
    "(-2 / (1.02 * nu))",
    FUNCTIONS,
  ),
  one(
    "draws of a triangle 1 % too narrow",
    SHAPES,
    "(1 - beta) * stream.uniform()",
    "(0.98 - beta) * stream.uniform()",
    FUNCTIONS,
  ),
  one("curvilinear trapezoid: uncertainty with d²/12", SHAPES, "d ** 2 / 9", "d ** 2 / 12", FUNCTIONS),
  one(
    "curvilinear trapezoid: draws with sharper limits",
    SHAPES,
    "half + d * (2",
    "half + 0.9 * d * (2",
    FUNCTIONS,
  ),
  one(
    "curvilinear trapezoid: quantile with the wrong density",
    SHAPES,
    "(half - d)) / (4 * d)",
    "(half - d)) / (4.01 * d)",
    FUNCTIONS,
  ),
  one(
    "uncertainty of a swing over √3",
    SHAPES,
    "half / Math.SQRT2",
    "half / Math.sqrt(3)",
    FUNCTIONS,
    "Uncertainty: end-gauge",
  ),
  one("log Γ off by 1e-6", SPECIAL, "0.9189385332046728", "0.9189395332046728", FUNCTIONS),
  one("one term of Stirling's series off", SPECIAL, "-1 / 360", "-1 / 361", FUNCTIONS),
  one(
    "continued fractions ended at 1e-6",
    SPECIAL,
    "const TOLERANCE = 1e-16",
    "const TOLERANCE = 1e-6",
    FUNCTIONS,
  ),
  one(
    "beta tails of small parameters by the fraction alone",
    SPECIAL,
    "const SMALL = 0.05",
    "const SMALL = 0",
    FUNCTIONS,
  ),
  one(
    "√2π off by 1e-9",
    "core/numeric/normal.js",
    "SQRT_TWO_PI = 2.506628274",
    "SQRT_TWO_PI = 2.506628276",
    FUNCTIONS,
  ),
  one(
    "degrees of freedom of a sum with a cube",
    "uncertainty/type-a.js",
    "relative ** 2 / degreesOfFreedom",
    "relative ** 3 / degreesOfFreedom",
    HIGHER,
  ),
  one(
    "standard deviation over n",
    "uncertainty/type-a.js",
    "(rest * rest) / n) / (n - 1))",
    "(rest * rest) / n) / n)",
    "Uncertainty: readings",
  ),
  one(
    "shares of a budget without the correlations",
    "uncertainty/law-of-propagation.js",
    "at(correlation, i * n + j) * at(effect, j)",
    "(i === j ? 1 : 0) * at(effect, j)",
    HIGHER,
  ),
  one(
    "limits of a worst case reach to one side",
    "uncertainty/worst-case.js",
    "[middle - reach, middle + reach]",
    "[middle - reach, middle - reach]",
    HIGHER,
  ),
  one(
    "second order without its third derivatives",
    DIFFERENCES,
    "total += value;",
    "total += 0 * value;",
    HIGHER,
  ),
  one("third-order term off by a tenth", DIFFERENCES, "total += value;", "total += 1.1 * value;", HIGHER),
  one("curvature counted twice", DIFFERENCES, "(j === k ? 0.5 : 1)", "(j === k ? 1 : 1)", HIGHER),
  one("shift of the mean doubled", DIFFERENCES, "shift: trace / 2", "shift: trace", HIGHER),
  one(
    "shortest interval's error over the root of the blocks",
    BLOCKS,
    "scatter(pick) / Math.cbrt(blocks.length)",
    "scatter(pick) / blocks.length ** 0.5",
    HIGHER,
  ),
  one(
    "symmetric interval one rank too low",
    BLOCKS,
    "(sorted.length - q + 1) / 2",
    "(sorted.length - q - 1) / 2",
    HIGHER,
  ),
  one(
    "numerical tolerance ten times too wide",
    BLOCKS,
    "exponent - digits + 1",
    "exponent - digits + 2",
    HIGHER,
  ),
  one(
    "sensitivity bounds half as wide",
    "uncertainty/sensitivity.js",
    "standardUncertainty * tQuantile(",
    "0.5 * standardUncertainty * tQuantile(",
    "Sensitivity",
  ),
  one(
    "sensitivity bounds twice as wide",
    "uncertainty/sensitivity.js",
    "standardUncertainty * tQuantile(",
    "2 * standardUncertainty * tQuantile(",
    "Sensitivity",
  ),
  one(
    "total indices without their half",
    "uncertainty/sensitivity.js",
    "(change * change) / (2 * points)",
    "(change * change) / (1.9 * points)",
    "Sensitivity",
  ),
  one(
    "movement of a strip: radial for tangential",
    MOVEMENT,
    "Math.cos(rings) ** 2",
    "Math.sin(rings) ** 2",
    WOOD,
  ),
  one("movement of a strip: a third power", MOVEMENT, "Math.cos(rings) ** 2", "Math.cos(rings) ** 3", WOOD),
  one(
    "coefficient formed at 12 %",
    "model/wood/dimensional-change.js",
    "const FORMED_AT = 10",
    "const FORMED_AT = 12",
    WOOD,
  ),
  one(
    "moisture with two digits exchanged",
    "model/wood/equilibrium-moisture.js",
    "k2: [1.91, 0.0407",
    "k2: [1.91, 0.0470",
    WOOD,
  ),
  {
    name: "two species exchanged",
    file: "model/wood/species.js",
    edits: [
      ['name: "Black cherry"', 'name: "Some cherry"'],
      ['name: "Black walnut"', 'name: "Black cherry"'],
      ['name: "Some cherry"', 'name: "Black walnut"'],
    ],
    groups: [WOOD],
  },
  one(
    "degrees of freedom of a fit one too many",
    SQUARES,
    "terms.slope.length - x.length;",
    "terms.slope.length - x.length + 1;",
    LINEAR,
  ),
  one(
    "slopes by differences to second order only",
    SQUARES,
    "(slope - at(far, i)) / 3)",
    "(slope - at(far, i)) / 4)",
    NONLINEAR,
  ),
  one(
    "a linear model not recognised",
    "core/numeric/constant-slopes.js",
    "const SAME = 1e-7",
    "const SAME = -1",
    LINEAR,
  ),
  one(
    "one first radius only",
    "core/numeric/minimise-terms.js",
    "FIRST_RADII = [100, 1, 0.01]",
    "FIRST_RADII = [100]",
    NONLINEAR,
  ),
  one(
    "an interval's slope of the wrong sign",
    READING,
    "slope: d1 / tau",
    "slope: -d1 / tau",
    MIXED,
    "Censored readings: the score",
  ),
  one(
    "a value's curvature without its square",
    READING,
    "curvature: 1 / tau ** 2",
    "curvature: 1 / tau",
    MIXED,
  ),
  one(
    "bisector by the wrong side",
    "core/geometry.js",
    "(la / (lb + lc)) ** 2",
    "(la / (lb + la)) ** 2",
    "Geometry",
  ),
  one(
    "press ratio 1 % too low",
    "physics/seating/seating-model.js",
    "PRESS_RATIO = 1000",
    "PRESS_RATIO = 990",
    "Seating: another",
    "Seating: closed forms",
  ),
  one(
    "degrees of freedom of a gauge with its mean squares apart",
    STUDY,
    "(factors.get(line) ?? 0) + factor",
    "factor",
    PARTS,
  ),
  one(
    "share of the tolerance the wrong way round",
    STUDY,
    "(6 * gauge) / tolerance",
    "(6 * gauge) * tolerance",
    PARTS,
  ),
  one(
    "a mistake's interval as likely as a value",
    READING,
    "Math.min(1, (high - low) / range)",
    "1 / range",
    MIXED,
  ),
  one(
    "far quantiles of Student's t from the central part",
    STUDENT,
    "tail < central;",
    "tail >= central;",
    FUNCTIONS,
  ),
];
