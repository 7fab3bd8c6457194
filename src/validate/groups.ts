import type { CheckGroup } from "./check.js";
import { checks as closedForms } from "./closed-forms.js";
import { checks as geometry } from "./geometry.js";
import { checks as gumH1 } from "./gum-h1.js";
import { checks as gumH2 } from "./gum-h2.js";
import { checks as gumH3 } from "./gum-h3.js";
import { checks as gumTableG2 } from "./gum-table-g2.js";
import { checks as gumTypes } from "./gum-type-a-and-b.js";
import { checks as additive } from "./jcgm-101-additive.js";
import { checks as comparisonLoss } from "./jcgm-101-comparison-loss.js";
import { checks as mass } from "./jcgm-101-mass.js";
import { checks as leaningFaces } from "./leaning-faces.js";
import { checks as nonlinear } from "./nist-nonlinear.js";
import { checks as norris } from "./nist-norris.js";
import { checks as sirstv } from "./nist-sirstv.js";
import { checks as univariate } from "./nist-univariate.js";
import { checks as scores } from "./reading-scores.js";
import { checks as areas } from "./seating-areas.js";
import { checks as exact } from "./seating-exact.js";
import { checks as programme } from "./seating-programme.js";
import { checks as secondImplementation } from "./second-implementation.js";
import { checks as sensitivity } from "./sensitivity-functions.js";
import { checks as symmetries } from "./symmetries.js";
import { checks as tobin } from "./tobin.js";
import { checks as tradeFacts } from "./trade-facts.js";
import { checks as weibull } from "./weibull.js";
import { checks as wood } from "./wood.js";

const PRINTED =
  "within half a unit of the last printed digit, unless the row says that the print was rounded on the way";
const SAMPLED =
  "Monte Carlo within four of its own standard errors (ten for the ends of a shortest interval), closed forms within half a unit of the last digit";

/**
 * All groups, in the order of the table. A further group is one file that exports `checks` and one line here:
 * title, the rule its tolerances follow, and the function.
 */
export const CHECK_GROUPS: readonly CheckGroup[] = [
  { title: "Uncertainty: readings and degrees of freedom (JCGM 100)", rule: PRINTED, checks: gumTypes },
  { title: "Uncertainty: Student's t (JCGM 100, table G.2)", rule: PRINTED, checks: gumTableG2 },
  { title: "Uncertainty: end-gauge calibration (JCGM 100, H.1)", rule: PRINTED, checks: gumH1 },
  { title: "Uncertainty: three correlated outputs (JCGM 100, H.2)", rule: PRINTED, checks: gumH2 },
  { title: "Uncertainty: thermometer calibration (JCGM 100, H.3)", rule: PRINTED, checks: gumH3 },
  { title: "Monte Carlo: sums (JCGM 101, 9.2)", rule: SAMPLED, checks: additive },
  { title: "Monte Carlo: mass calibration (JCGM 101, 9.3)", rule: SAMPLED, checks: mass },
  { title: "Monte Carlo: comparison loss (JCGM 101, 9.4)", rule: SAMPLED, checks: comparisonLoss },
  {
    title: "Arithmetic: univariate (NIST StRD)",
    rule: "relative 1e-15 for means; 1e-14 to 1e-8 else, by what the decimals' binary form leaves",
    checks: univariate,
  },
  { title: "Arithmetic: straight line (NIST StRD, Norris)", rule: "ten digits", checks: norris },
  { title: "Arithmetic: analysis of variance (NIST StRD, SiRstv)", rule: "eleven digits", checks: sirstv },
  {
    title: "Least squares: nonlinear regression (NIST StRD)",
    rule: "log relative error, signs included: eight digits of parameters, their standard deviations and sums with analytic slopes, from both starts; six when the slopes are differences",
    checks: nonlinear,
  },
  {
    title: "Censored readings: Tobin's regression",
    rule: "eight digits",
    checks: tobin,
  },
  {
    title: "Censored readings: Weibull lifetimes (NIST/SEMATECH e-Handbook)",
    rule: "one unit of the last digit, of the print and of the recomputed values",
    checks: weibull,
  },
  {
    title: "Censored readings: the score at the maximum, for every kind of reading",
    rule: "1e-9 of a standard error, and of each slope and curvature; beside the maximum the score is as large as the distance, within 2 %",
    checks: scores,
  },
  {
    title: "Sensitivity: Ishigami's and Sobol's functions",
    rule: "the closed form lies within the estimate's own confidence bounds (1024 points, 16 scramblings; all bounds together 99 %)",
    checks: sensitivity,
  },
  {
    title: "Geometry: triangles and the square cell's sizes",
    rule: "half a unit of the last printed digit; the cell's sizes to 1e-11 mm",
    checks: geometry,
  },
  {
    title: "Seating: another implementation of the model",
    rule: "1e-9 mm, the rounding of its figures",
    checks: secondImplementation,
  },
  {
    title: "Seating: first order against a quadratic programme",
    rule: "energies agree to 1e-8 of themselves, gaps to 1e-7 mm (its slopes are differences)",
    checks: programme,
  },
  {
    title: "Seating: exact order",
    rule: "the rest within 1e-8 mm of the bottom; the power of the errors within 0.1 of 2",
    checks: exact,
  },
  {
    title: "Seating: voids and overlaps against a polygon library",
    rule: "areas agree to first order in the errors: within half a per cent at 1/2048 of ordinary errors, their difference falling with the square (power within 0.15 of 2)",
    checks: areas,
  },
  {
    title: "Seating: symmetries, rings and the reversal",
    rule: "gaps agree to 1e-10 mm, times the scale; a ring shows its number to 3e-5 of it",
    checks: symmetries,
  },
  {
    title: "Seating: closed forms",
    rule: "1e-10 mm; energies to 1e-9 of themselves",
    checks: closedForms,
  },
  {
    title: "Seating: closed forms of faces that lean through the depth",
    rule: "1e-10 mm",
    checks: leaningFaces,
  },
  {
    title: "Wood: moisture and size (Wood Handbook)",
    rule: "moisture table ±0.1 %, else half a unit of the last printed digit; rows whose coefficient is from memory and recomputed agree by construction: they guard the table and prove nothing",
    checks: wood,
  },
  { title: "Trade facts", rule: "angles exact; the two-thirds rule as a fraction", checks: tradeFacts },
];
