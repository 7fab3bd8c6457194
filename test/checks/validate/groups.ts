import type { CheckGroup } from "./check.js";

const PRINTED =
  "within half a unit of the last printed digit, unless the row says that the print was rounded on the way";
const SAMPLED =
  "Monte Carlo within four of its own standard errors (ten for the ends of a shortest interval), closed forms within half a unit of the last digit";

/**
 * All groups, in the order of the table. A further group is one file that exports `checks` and one line here:
 * title, the rule its tolerances follow, and the function. A file is loaded when its group is run: a fault is sought in a process of its own, which needs one or two of them.
 */
export const CHECK_GROUPS: readonly CheckGroup[] = [
  {
    title: "Uncertainty: readings and degrees of freedom (JCGM 100)",
    rule: PRINTED,
    checks: async () => (await import("./gum-type-a-and-b.js")).checks(),
  },
  {
    title: "Uncertainty: Student's t (JCGM 100, table G.2)",
    rule: PRINTED,
    checks: async () => (await import("./gum-table-g2.js")).checks(),
  },
  {
    title: "Uncertainty: end-gauge calibration (JCGM 100, H.1)",
    rule: PRINTED,
    checks: async () => (await import("./gum-h1.js")).checks(),
  },
  {
    title: "Uncertainty: three correlated outputs (JCGM 100, H.2)",
    rule: PRINTED,
    checks: async () => (await import("./gum-h2.js")).checks(),
  },
  {
    title: "Uncertainty: thermometer calibration (JCGM 100, H.3)",
    rule: PRINTED,
    checks: async () => (await import("./gum-h3.js")).checks(),
  },
  {
    title: "Monte Carlo: sums (JCGM 101, 9.2)",
    rule: SAMPLED,
    checks: async () => (await import("./jcgm-101-additive.js")).checks(),
  },
  {
    title: "Monte Carlo: mass calibration (JCGM 101, 9.3)",
    rule: SAMPLED,
    checks: async () => (await import("./jcgm-101-mass.js")).checks(),
  },
  {
    title: "Monte Carlo: comparison loss (JCGM 101, 9.4)",
    rule: SAMPLED,
    checks: async () => (await import("./jcgm-101-comparison-loss.js")).checks(),
  },
  {
    title: "Uncertainty: a gauge block and a weight, from memory",
    rule: "half a unit of the last digit; the ends of the shortest interval, themselves sampled, within 2 nm",
    checks: async () => (await import("./more-calibrations.js")).checks(),
  },
  {
    title: "Uncertainty: higher orders, intervals and standard errors, by hand",
    rule: "1e-9 where slopes are differences, else 1e-12; ratios of scatters, known to 15 %, within 35 %",
    checks: async () => (await import("./propagation.js")).checks(),
  },
  {
    title: "Distributions: functions, quantiles and draws",
    rule: "half a unit of the last printed digit; closed forms to 1e-13 or what the row says; shares of a million draws within 4.5 of their standard errors",
    checks: async () => (await import("./distributions.js")).checks(),
  },
  {
    title: "Arithmetic: univariate (NIST StRD)",
    rule: "15 digits of means; 7 to 14 else, by what the decimals' binary form leaves",
    checks: async () => (await import("./nist-univariate.js")).checks(),
  },
  {
    title: "Least squares: linear regression (NIST StRD)",
    rule: "ten digits; 5.5 to 9 of the polynomials and of Longley, by what double precision leaves at their condition number",
    checks: async () => (await import("./nist-linear.js")).checks(),
  },
  {
    title: "Gauge study: one-way analysis of variance (NIST StRD)",
    rule: "11 to 13 digits; 8 or 9 behind seven constant leading digits, 3 behind thirteen, by what the decimals' binary form leaves",
    checks: async () => (await import("./nist-anova.js")).checks(),
  },
  {
    title: "Gauge study: parts, readers and the constants of ranges",
    rule: "half a unit of the last printed digit; closed forms to 1e-10; averages and ranges to 2e-4, as the manual's factors are rounded",
    checks: async () => (await import("./gauge-study.js")).checks(),
  },
  {
    title: "Batch: charts of single pieces and of moving averages",
    rule: "half a unit of the last printed digit, unless the row says how the print was rounded; by hand to 1e-12",
    checks: async () => (await import("./control-charts.js")).checks(),
  },
  {
    title: "Batch: how soon a chart signals",
    rule: "1.2 half-units of the last printed digit; where the paper approximates, half a per cent for a creeping mean and 1.5 or 2 % where the row says so",
    checks: async () => (await import("./run-lengths.js")).checks(),
  },
  {
    title: "Least squares: nonlinear regression (NIST StRD)",
    rule: "log relative error, signs included: eight digits of parameters, their standard deviations and sums with analytic slopes, the worse of both starts (of Lanczos1 and Lanczos2, whose residuals are mostly rounding, two and seven of what is made of the residuals); six when the slopes are differences",
    checks: async () => (await import("./nist-nonlinear.js")).checks(),
  },
  {
    title: "Censored readings: Tobin's regression",
    rule: "eight digits",
    checks: async () => (await import("./tobin.js")).checks(),
  },
  {
    title: "Censored readings: Weibull lifetimes (NIST/SEMATECH e-Handbook)",
    rule: "one unit of the last digit, of the print and of the recomputed values",
    checks: async () => (await import("./weibull.js")).checks(),
  },
  {
    title: "Censored readings: values, intervals and open readings together",
    rule: "ten digits",
    checks: async () => (await import("./mixed-readings.js")).checks(),
  },
  {
    title: "Plans: D-optimal designs of polynomials",
    rule: "log determinants to 1e-6, the largest variance to 1e-4, weights to 5e-4",
    checks: async () => (await import("./d-optimal.js")).checks(),
  },
  {
    title: "Censored readings: the score at the maximum, for every kind of reading",
    rule: "1e-9 of a standard error, and of each slope and curvature; beside the maximum the score is as large as the distance, within 2 %",
    checks: async () => (await import("./reading-scores.js")).checks(),
  },
  {
    title: "Sensitivity: Ishigami's and Sobol's functions",
    rule: "the closed form lies within the estimate's own confidence bounds (1024 points, 16 scramblings; all bounds together 99 %)",
    checks: async () => (await import("./sensitivity-functions.js")).checks(),
  },
  {
    title: "Geometry: triangles and the square cell's sizes",
    rule: "half a unit of the last printed digit; the cell's sizes to 1e-11 mm",
    checks: async () => (await import("./geometry.js")).checks(),
  },
  {
    title: "Seating: another implementation of the model",
    rule: "1e-9 mm, the rounding of its figures",
    checks: async () => (await import("./second-implementation.js")).checks(),
  },
  {
    title: "Seating: first order against a quadratic programme",
    rule: "energies agree to 1e-8 of themselves, gaps to 1e-7 mm (its slopes are differences)",
    checks: async () => (await import("./seating-programme.js")).checks(),
  },
  {
    title: "Seating: exact order",
    rule: "the rest within 1e-8 mm of the bottom; the power of the errors within 0.1 of 2",
    checks: async () => (await import("./seating-exact.js")).checks(),
  },
  {
    title: "Seating: voids and overlaps against a polygon library",
    rule: "areas agree to first order in the errors: within half a per cent at 1/2048 of ordinary errors, their difference, summed over joints and cells, falling with the square (power within 0.1 of 2)",
    checks: async () => (await import("./seating-areas.js")).checks(),
  },
  {
    title: "Seating: symmetries, rings and the reversal",
    rule: "gaps agree to 1e-10 mm, times the scale; a ring shows its number to 3e-5 of it",
    checks: async () => (await import("./symmetries.js")).checks(),
  },
  {
    title: "Seating: closed forms",
    rule: "1e-10 mm; energies to 1e-9 of themselves",
    checks: async () => (await import("./closed-forms.js")).checks(),
  },
  {
    title: "Seating: closed forms of faces that lean through the depth",
    rule: "1e-10 mm",
    checks: async () => (await import("./leaning-faces.js")).checks(),
  },
  {
    title: "Wood: moisture and size (Wood Handbook)",
    rule: "moisture table ±0.1 %, else half a unit of the last printed digit; remembered coefficients were computed from the shrinkage and agree by construction; the growth of a strip is compared with the file that the table of species was copied from",
    checks: async () => (await import("./wood.js")).checks(),
  },
  {
    title: "Trade facts",
    rule: "angles exact; the two-thirds rule as a fraction",
    checks: async () => (await import("./trade-facts.js")).checks(),
  },
];
