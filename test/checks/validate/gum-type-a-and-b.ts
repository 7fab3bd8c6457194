import { normal, rectangular, triangular } from "../../../src/uncertainty/distributions.js";
import { lawOfPropagation } from "../../../src/uncertainty/law-of-propagation.js";
import { degreesOfFreedomFromReliability, typeA } from "../../../src/uncertainty/type-a.js";
import { type Check, compareRows, printedTo, published } from "./check.js";

interface File {
  temperatures: {
    readings: number[];
    mean: number;
    standardDeviation: number;
    standardUncertainty: number;
    degreesOfFreedom: number;
  };
  rectangularAndTriangular: { limits: [number, number]; rectangular: number; triangular: number };
  relative: {
    percent: [number, number, number];
    readings: [number, number, number];
    combinedPercent: number;
    effectiveDegreesOfFreedom: number;
    effectiveDegreesOfFreedomExact: number;
    coverageFactor95: number;
    expandedPercent95: number;
  };
  reliability: { relativeUncertainty: number[]; degreesOfFreedom: number[] };
  expansion: Record<"L0" | "L1" | "T0" | "T1", [number, number]> & {
    estimate: number;
    standardUncertainty: number;
  };
}

/** JCGM 100: repeated readings, assumed distributions, effective degrees of freedom. */
export function checks(): Check[] {
  const file = published<File>("gum-type-a-and-b");
  return [
    ...temperatures(file),
    ...assumed(file),
    ...effective(file),
    ...reliability(file),
    ...expansion(file),
  ];
}

function temperatures({ temperatures: t }: File): Check[] {
  const a = typeA(t.readings);
  return compareRows("gum-4.4.3", { document: "JCGM 100:2008", place: "4.4.3", kind: "printed" }, [
    ["mean", "mean of 20 temperatures, °C", t.mean, a.mean, printedTo(3)],
    ["s", "standard deviation, °C", t.standardDeviation, a.standardDeviation, printedTo(3)],
    ["u", "standard uncertainty of the mean, °C", t.standardUncertainty, a.standardUncertainty, printedTo(3)],
    ["dof", "degrees of freedom", t.degreesOfFreedom, a.degreesOfFreedom, 0],
  ]);
}

function assumed({ rectangularAndTriangular: r }: File): Check[] {
  const [lo, hi] = r.limits;
  return compareRows(
    "gum-4.4.5",
    { document: "JCGM 100:2008", place: "4.4.5 and 4.4.6", kind: "remembered" },
    [
      [
        "rectangular",
        "u of a rectangular 96–104 °C",
        r.rectangular,
        rectangular(lo, hi).standardUncertainty,
        printedTo(1),
      ],
      [
        "triangular",
        "u of a triangular 96–104 °C",
        r.triangular,
        triangular(lo, hi).standardUncertainty,
        printedTo(1),
      ],
    ],
  );
}

/** y = x₁·x₂·x₃ with relative uncertainties: per cent throughout. */
function effective({ relative: r }: File): Check[] {
  const inputs = r.percent.map((u, i) => ({
    name: `x${i + 1}`,
    distribution: normal(1, u / 100, r.readings[i]! - 1),
  }));
  const product = (x: Float64Array): number => x[0]! * x[1]! * x[2]!;
  const ours = lawOfPropagation(product, inputs);
  const truncated = lawOfPropagation(product, inputs, { truncateDegreesOfFreedom: true });
  return compareRows("gum-g.4.1", { document: "JCGM 100:2008", place: "G.4.1", kind: "printed" }, [
    [
      "u",
      "combined relative uncertainty, %",
      r.combinedPercent,
      100 * ours.standardUncertainty,
      printedTo(2),
    ],
    ["dof", "effective degrees of freedom", r.effectiveDegreesOfFreedom, ours.degreesOfFreedom, printedTo(1)],
    [
      "dof-exact",
      "the same, unrounded (recomputed)",
      r.effectiveDegreesOfFreedomExact,
      ours.degreesOfFreedom,
      printedTo(4),
      "recomputed",
    ],
    [
      "dof-truncated",
      "the same, truncated: 18, not the 19 of the rounded figure",
      18,
      truncated.degreesOfFreedom,
      0,
      "recomputed",
    ],
    ["k", "coverage factor for 95 %", r.coverageFactor95, ours.coverageFactor, printedTo(2)],
    [
      "U",
      "expanded uncertainty for 95 %, %",
      r.expandedPercent95,
      100 * ours.expandedUncertainty,
      printedTo(1),
    ],
  ]);
}

function reliability({ reliability: r }: File): Check[] {
  return compareRows(
    "gum-g.4.2",
    { document: "JCGM 100:2008", place: "G.4.2", kind: "printed" },
    r.relativeUncertainty.map((share, i) => [
      `${100 * share}`,
      `degrees of freedom of an uncertainty known to ${100 * share} %`,
      r.degreesOfFreedom[i]!,
      degreesOfFreedomFromReliability(share),
      1e-9,
    ]),
  );
}

/** Coefficient of linear expansion, (L₁ − L₀)/(L₀(T₁ − T₀)). */
function expansion({ expansion: e }: File): Check[] {
  const inputs = (["L0", "L1", "T0", "T1"] as const).map((name) => ({
    name,
    distribution: normal(...e[name]),
  }));
  const ours = lawOfPropagation((x) => (x[1]! - x[0]!) / (x[0]! * (x[3]! - x[2]!)), inputs);
  return compareRows(
    "nist-tn1900-e13",
    { document: "NIST Technical Note 1900", place: "example E13", kind: "printed" },
    [
      ["estimate", "coefficient of expansion, 1/K", e.estimate, ours.estimate, 0.5e-9],
      ["u", "its standard uncertainty, 1/K", e.standardUncertainty, ours.standardUncertainty, 0.5e-8],
    ],
  );
}
