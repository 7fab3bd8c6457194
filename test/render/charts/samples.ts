import type { ReadingRow } from "../../../src/render/charts/readings-chart.js";

const DEGREE = Math.PI / 180;

/** Small inputs, invented. */
const angle = {
  group: "Angle gauge",
  unit: "deg",
  predictedLow: 0.2 * DEGREE,
  predictedHigh: 0.36 * DEGREE,
} as const;
const gap = { group: "Feeler leaves", unit: "mm", value: null } as const;

export const READINGS: readonly ReadingRow[] = [
  {
    ...angle,
    id: "a1",
    label: "bevel 1",
    low: 0.2 * DEGREE,
    high: 0.4 * DEGREE,
    value: 0.3 * DEGREE,
    predicted: 0.28 * DEGREE,
    outlier: false,
  },
  {
    ...angle,
    id: "a2",
    label: "bevel 2",
    low: 0.7 * DEGREE,
    high: 0.9 * DEGREE,
    value: 0.8 * DEGREE,
    predicted: 0.28 * DEGREE,
    outlier: true,
  },
  {
    ...gap,
    id: "f1",
    label: "hinge mitre, heel",
    low: Number.NEGATIVE_INFINITY,
    high: 0.05,
    predicted: 0.03,
    predictedLow: -0.01,
    predictedHigh: 0.07,
    outlier: false,
  },
  {
    ...gap,
    id: "f2",
    label: "hinge mitre, toe",
    low: 0.1,
    high: 0.15,
    predicted: 0.12,
    predictedLow: null,
    predictedHigh: null,
    outlier: false,
  },
  {
    ...gap,
    id: "f3",
    label: "widest of all",
    low: 0.2,
    high: Number.POSITIVE_INFINITY,
    predicted: 0.22,
    predictedLow: 0.18,
    predictedHigh: 0.26,
    outlier: false,
  },
];
