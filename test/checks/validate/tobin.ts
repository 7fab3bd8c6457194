import { type CensoredObservation, fitCensoredLine } from "./censored-line.js";
import { type Check, compareRows, published, type Row } from "./check.js";

type Pair = [estimate: number, standardError: number];
interface File {
  data: [durable: number, age: number, quant: number][];
  estimates: Record<"intercept" | "age" | "quant" | "logSigma", Pair> &
    Record<"sigma" | "logLikelihood" | "logLikelihoodInterceptOnly", number>;
}

/** The figures have 10 to 12 digits; ours must share eight. */
const RELATIVE = 1e-8;

/** Tobin's data: 20 households, of which 13 bought nothing, by the project's solver and its loss of a censored reading. */
export function checks(): Check[] {
  const { data, estimates } = published<File>("tobin");
  const observed = (rowOf: (age: number, quant: number) => number[]): CensoredObservation[] =>
    data.map(([durable, age, quant]) => ({ y: durable > 0 ? durable : null, x: rowOf(age, quant) }));
  const fit = fitCensoredLine(observed((age, quant) => [1, age, quant]));
  const alone = fitCensoredLine(observed(() => [1]));
  const near = (value: number): number => RELATIVE * Math.abs(value);
  const row = (id: string, quantity: string, value: number, ours: number): Row => [
    id,
    quantity,
    value,
    ours,
    near(value),
  ];
  const names = ["intercept", "age", "quant", "logSigma"] as const;
  return compareRows(
    "tobin",
    {
      document: "Tobin, Econometrica 26 (1958)",
      place: "its 20 households; estimates recomputed twice",
      kind: "recomputed",
    },
    [
      ...names.flatMap((name, k): Row[] => [
        row(name, `coefficient: ${name}`, estimates[name][0], fit.estimates[k]!),
        row(
          `se-${name}`,
          `its standard error, observed information`,
          estimates[name][1],
          fit.standardErrors[k]!,
        ),
      ]),
      row("sigma", "σ", estimates.sigma, Math.exp(fit.estimates[3]!)),
      row("logL", "log-likelihood", estimates.logLikelihood, fit.logLikelihood),
      row(
        "logL-solver",
        "the same as the solver has it, in other unknowns",
        estimates.logLikelihood,
        -fit.minimum.terms.value,
      ),
      row(
        "logL-0",
        "log-likelihood, intercept only",
        estimates.logLikelihoodInterceptOnly,
        alone.logLikelihood,
      ),
    ],
  );
}
