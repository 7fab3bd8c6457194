import { normal } from "../../../src/uncertainty/distributions.js";
import { jointPropagation } from "../../../src/uncertainty/law-of-propagation.js";
import { typeA, typeACorrelation } from "../../../src/uncertainty/type-a.js";
import { type Check, compareRows, printedTo, published, type Row } from "./check.js";

type Triple = [number, number, number];
interface Outputs {
  estimates: Triple;
  uncertainties: Triple;
  correlations: Record<"RX" | "RZ" | "XZ", number>;
}
interface File {
  readings: Triple[];
  printed: {
    means: Triple;
    standardUncertainties: Triple;
    correlations: Record<"VI" | "Vphi" | "Iphi", number>;
    estimates: Triple;
    outputUncertainties: Triple;
    outputCorrelations: Outputs["correlations"];
  };
  recomputed: {
    correlations: Record<"VI" | "Vphi" | "Iphi", number>;
    approach1: Outputs;
    approach2: Outputs;
  };
}

/** R, X, Z from V in volts, I in milliamperes, φ in radians. */
function impedance([v, i, phi]: ArrayLike<number> & Iterable<number>): Triple {
  const z = v! / (i! / 1000);
  return [z * Math.cos(phi!), z * Math.sin(phi!), z];
}

/** JCGM 100, H.2: resistance, reactance and impedance measured together; both approaches. */
export function checks(): Check[] {
  const { readings, printed, recomputed } = published<File>("gum-h2");
  const columns = [0, 1, 2].map((k) => readings.map((row) => row[k]!)) as [number[], number[], number[]];
  const [v, i, phi] = columns;
  const means = columns.map(typeA);
  const r = { VI: typeACorrelation(v, i), Vphi: typeACorrelation(v, phi), Iphi: typeACorrelation(i, phi) };
  const inputs = ["V", "I", "phi"].map((name, k) => ({
    name,
    distribution: normal(means[k]!.mean, means[k]!.standardUncertainty),
  }));
  const joint = jointPropagation(impedance, inputs, {
    correlations: [
      { between: ["V", "I"], coefficient: r.VI },
      { between: ["V", "phi"], coefficient: r.Vphi },
      { between: ["I", "phi"], coefficient: r.Iphi },
    ],
  });
  const rowwise = readings.map(impedance);
  const outputs = [0, 1, 2].map((k) => rowwise.map((row) => row[k]!)) as [number[], number[], number[]];
  const first: Outputs = {
    estimates: joint.estimates as Triple,
    uncertainties: joint.standardUncertainties as Triple,
    correlations: {
      RX: joint.correlation[0]![1]!,
      RZ: joint.correlation[0]![2]!,
      XZ: joint.correlation[1]![2]!,
    },
  };
  const second: Outputs = {
    estimates: outputs.map((o) => typeA(o).mean) as Triple,
    uncertainties: outputs.map((o) => typeA(o).standardUncertainty) as Triple,
    correlations: {
      RX: typeACorrelation(outputs[0], outputs[1]),
      RZ: typeACorrelation(outputs[0], outputs[2]),
      XZ: typeACorrelation(outputs[1], outputs[2]),
    },
  };
  const names = ["V̄, V", "Ī, mA", "φ̄, rad"];
  return compareRows("gum-h2", { document: "JCGM 100:2008", place: "H.2", kind: "printed" }, [
    ...names.map(
      (name, k): Row => [
        `mean-${k}`,
        `mean ${name}`,
        printed.means[k]!,
        means[k]!.mean,
        printedTo(k === 2 ? 5 : 4),
      ],
    ),
    ...names.map(
      (name, k): Row => [
        `u-${k}`,
        `standard uncertainty of ${name}`,
        printed.standardUncertainties[k]!,
        means[k]!.standardUncertainty,
        printedTo(k === 2 ? 5 : 4),
      ],
    ),
    ...(["VI", "Vphi", "Iphi"] as const).flatMap((pair): Row[] => [
      [`r-${pair}`, `correlation of ${pair}`, printed.correlations[pair], r[pair], printedTo(2)],
      [
        `r-${pair}-exact`,
        `the same, recomputed`,
        recomputed.correlations[pair],
        r[pair],
        printedTo(4),
        "recomputed",
      ],
    ]),
    ...outputRows("printed", printed, first),
    ...exactRows("approach 1", recomputed.approach1, first),
    ...exactRows("approach 2, row by row", recomputed.approach2, second),
  ]);
}

const OUTPUTS = ["R", "X", "Z"] as const;
const PAIRS = ["RX", "RZ", "XZ"] as const;

function outputRows(label: string, printed: File["printed"], ours: Outputs): Row[] {
  return [
    ...OUTPUTS.map(
      (o, k): Row => [`${o}`, `${o}, Ω, ${label}`, printed.estimates[k]!, ours.estimates[k]!, printedTo(3)],
    ),
    ...OUTPUTS.map(
      (o, k): Row => [
        `u-${o}`,
        // Printed 0.295 for X; unrounded inputs give 0.2956.
        `standard uncertainty of ${o}, Ω, ${label}`,
        printed.outputUncertainties[k]!,
        ours.uncertainties[k]!,
        o === "X" ? 0.001 : printedTo(3),
      ],
    ),
    ...PAIRS.map(
      (pair): Row => [
        `r-${pair}`,
        `correlation of ${pair}, ${label}`,
        printed.outputCorrelations[pair],
        ours.correlations[pair],
        0.001,
      ],
    ),
  ];
}

function exactRows(label: string, exact: Outputs, ours: Outputs): Row[] {
  return [
    ...OUTPUTS.map(
      (o, k): Row => [
        `${o}-${label}`,
        `${o}, Ω, ${label} (recomputed)`,
        exact.estimates[k]!,
        ours.estimates[k]!,
        printedTo(4),
        "recomputed",
      ],
    ),
    ...OUTPUTS.map(
      (o, k): Row => [
        `u-${o}-${label}`,
        `standard uncertainty of ${o}, Ω, ${label} (recomputed)`,
        exact.uncertainties[k]!,
        ours.uncertainties[k]!,
        printedTo(5),
        "recomputed",
      ],
    ),
    ...PAIRS.map(
      (pair): Row => [
        `r-${pair}-${label}`,
        `correlation of ${pair}, ${label} (recomputed)`,
        exact.correlations[pair],
        ours.correlations[pair],
        printedTo(4),
        "recomputed",
      ],
    ),
  ];
}
