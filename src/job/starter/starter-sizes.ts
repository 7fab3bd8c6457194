import type { LengthUnit } from "../../quantity/index.js";

/** Sizes of a starter job as a shop with these units would write them. Common practice, no source. */
export interface StarterSizes {
  readonly opening: string;
  readonly strip: string;
  /** Distance from a ramp's fixed end to its shim, and the leaves at hand. */
  readonly base: string;
  readonly leaves: string;
  readonly stopTrusted: string;
  readonly stopStep: string;
  /** Leaves of a feeler gauge. */
  readonly feeler: string;
  readonly caliper: string;
  readonly scatterLength: string;
  readonly scatterThickness: string;
  readonly batch: string;
  readonly gridOffset: string;
  readonly gapLimit: string;
  readonly snugLimit: string;
  /** The thinnest leaf, and for the example of a gap the thickest that went in and the thinnest that did not. */
  readonly thinnest: string;
  readonly gapLow: string;
  readonly gapHigh: string;
  /** Thickness in the example readings. */
  readonly thickness: string;
}

export const STARTER_SIZES: Readonly<Record<LengthUnit, StarterSizes>> = {
  mm: {
    ...{ opening: "60 mm", strip: "3 mm", base: "80 mm" },
    leaves: "[0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5]",
    ...{ stopTrusted: "0.15 mm", stopStep: "0.05 mm" },
    feeler: "[0.03, 0.05, 0.08, 0.1, 0.15, 0.2, 0.3, 0.4]",
    ...{ caliper: "0.01 mm", scatterLength: "0.02 mm", scatterThickness: "0.01 mm" },
    ...{ batch: "0.03 mm", gridOffset: "0.02 mm", gapLimit: "0.1 mm", snugLimit: "0.02 mm" },
    ...{ thinnest: "0.03", gapLow: "0.03", gapHigh: "0.05" },
    ...{ thickness: "3.01" },
  },
  in: {
    ...{ opening: "2 3/8 in", strip: "1/8 in", base: "3 1/4 in" },
    leaves: "[2 thou, 4 thou, 6 thou, 8 thou, 12 thou, 16 thou, 20 thou]",
    ...{ stopTrusted: "1/128 in", stopStep: "2 thou" },
    feeler: "[1 thou, 2 thou, 3 thou, 4 thou, 6 thou, 8 thou, 12 thou]",
    ...{ caliper: "0.5 thou", scatterLength: "0.8 thou", scatterThickness: "0.4 thou" },
    ...{ batch: "1 thou", gridOffset: "1 thou", gapLimit: "4 thou", snugLimit: "1 thou" },
    ...{ thinnest: "0.001", gapLow: "0.001", gapHigh: "0.002" },
    ...{ thickness: "0.1255" },
  },
};
