import { at, diagonalOf, rowOf } from "../../core/numeric/dense.js";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import type { Reading } from "../../model/readings.js";
import type { Source } from "../../model/sources.js";
import type { SourcePrior } from "../likelihood/source-prior.js";
import type { Specimen } from "../likelihood/specimen.js";
import { NO_BIAS, type Part, type ReadingBlock } from "../likelihood/trial-blocks.js";
import { SCATTER_OF } from "../posterior/block-density.js";
import {
  expectedInformation,
  inPriorSds,
  type PosteriorMode,
  posteriorMode,
  profileOf,
  type TargetDensity,
  TO_COMPARE,
} from "../posterior/posterior-mode.js";
import { logScatterPrior } from "../posterior/posterior-walk.js";
import type { Departure, ExtraUnknown } from "./departure.js";

type Extension = Omit<Departure, "reason" | "share">;

/** An extended model with its mode and its log evidence there (Laplace's approximation), up to the constant that all models share. */
export interface ExtendedFit {
  readonly target: TargetDensity;
  readonly mode: PosteriorMode;
  readonly log: number;
}

/**
 * Fits an extension of a likelihood with the cells seated again, so that joints may open and close.
 *
 * @param target at the scatters that the job states.
 * @param ratios of the scatters to those stated.
 * @param start sources, then the extension's unknowns, in prior standard deviations.
 */
export function fitExtended(
  target: TargetDensity,
  extension: Extension,
  ratios: readonly number[],
  start: Float64Array,
): ExtendedFit {
  const extended = extendedTarget(target, extension, ratios);
  const { sources } = extended;
  const mode = posteriorMode(
    extended,
    start.map((value, i) => value * at(sources, i).priorSd),
    [],
    TO_COMPARE,
  );
  let log = logEvidence(extended, mode);
  for (const [k, ratio] of ratios.entries()) log += logScatterPrior(ratio / at(extension.scatters, k));
  return { target: extended, mode, log };
}

function logEvidence(target: TargetDensity, { estimates, modes }: PosteriorMode): number {
  const { sources } = target;
  const p = sources.length;
  const { terms, modes: there } = profileOf(target, modes, TO_COMPARE)(inPriorSds(estimates, sources));
  const information = expectedInformation(terms, p);
  choleskyInPlace(information, p, 0);
  let log = -terms.value;
  for (const pivot of diagonalOf(information)) log -= Math.log(pivot);
  for (const { factor } of there) for (const pivot of diagonalOf(factor)) log -= Math.log(pivot);
  return log;
}

/** A likelihood with what a departure adds and changes; its unknowns follow the sources. */
export function extendedTarget(
  target: TargetDensity,
  extension: Extension,
  ratios: readonly number[],
): TargetDensity {
  const { sources, blocks, prior, readings } = target;
  const { unknowns, swaps } = extension;
  const other = new Map(
    swaps.flatMap(
      ([i, j]) =>
        [
          [i, j],
          [j, i],
        ] as [number, number][],
    ),
  );
  const asRead = readings.map((reading, i): Reading => {
    const j = other.get(i);
    if (j === undefined) return reading;
    const { value, low, high } = at(readings, j);
    return { ...reading, value, low, high };
  });
  const extra = unknowns.map(
    ({ sd }): Source => ({ id: { kind: "bias", of: "" }, angular: false, priorSd: sd, priorMean: 0 }),
  );
  return {
    ...target,
    sources: [...sources, ...extra],
    readings: asRead,
    prior: prior && extendedPrior(prior, sources.length, unknowns.length),
    blocks: blocks.map((block, b) => extendedBlock(block, b, { extension, ratios, asRead, sources })),
  };
}

interface ExtendBy {
  readonly extension: Extension;
  readonly ratios: readonly number[];
  readonly asRead: readonly Reading[];
  readonly sources: readonly Source[];
}

function extendedBlock(block: ReadingBlock, b: number, by: ExtendBy): ReadingBlock {
  const { extension, ratios, asRead, sources } = by;
  const { unknowns, odd, noise } = extension;
  const p = sources.length;
  const factor = odd?.block === b ? odd.factor : 1;
  const biases = new Map(block.biases);
  for (const [k, unknown] of unknowns.entries()) {
    if (unknown.kind !== "bias") continue;
    const { shift, column } = biases.get(unknown.instrument) ?? NO_BIAS;
    // A bias that is already one of the sources keeps its column.
    if (column < 0) biases.set(unknown.instrument, { shift, column: p + k });
  }
  return {
    ...block,
    biases,
    readings: block.places.map((place) => at(asRead, place)),
    noise: noise
      ? block.noise.map((sd, i) =>
          at(block.readings, i).instrument === noise.instrument ? sd * noise.factor : sd,
        )
      : block.noise,
    parts: block.parts.map((part) => ({
      ...part,
      specimen: {
        ...part.specimen,
        matrix: extendedMatrix(part, b, p, unknowns),
        betweenCutSd: scaledScatter(part.specimen, ratios, factor),
      },
    })),
  };
}

function scaledScatter(
  { cell, betweenCutSd }: Specimen,
  ratios: readonly number[],
  factor: number,
): Float64Array {
  const { entries } = errorLayout(cell);
  return betweenCutSd.map((sd, e) => sd * factor * (ratios[SCATTER_OF[at(entries, e).kind]] ?? 1));
}

/** The matrix of a part's errors with a column for each unknown of the extension. */
function extendedMatrix(
  { specimen, latent }: Part,
  b: number,
  p: number,
  unknowns: readonly ExtraUnknown[],
): Float64Array {
  const { matrix, betweenCutSd, carried } = specimen;
  const P = p + unknowns.length;
  const rows = betweenCutSd.length;
  const out = new Float64Array(rows * P);
  for (let e = 0; e < rows; e++) out.set(rowOf(matrix, e, p), e * P);
  for (const [k, unknown] of unknowns.entries()) {
    const column = p + k;
    if (unknown.kind === "drift") {
      const share = at(unknown.shares, b);
      for (let e = 0; e < rows; e++)
        for (const c of unknown.sources)
          out[e * P + column] = at(out, e * P + column) + share * at(matrix, e * p + c);
    }
    if (unknown.kind === "thickness") {
      const weights = at(unknown.weights, b);
      const own =
        latent.length === 0
          ? []
          : Array.from(latent, (l, e) => (l < 0 ? 0 : at(weights, l) * at(betweenCutSd, e)));
      for (const [e, weight] of own.entries()) out[e * P + column] = weight;
      for (const { from, to, factor } of carried)
        out[to * P + column] = at(out, to * P + column) + factor * (own[from] ?? 0);
    }
  }
  return out;
}

/** A prior of several cases with independent standard normal unknowns after its own. */
function extendedPrior(prior: SourcePrior, p: number, extra: number): SourcePrior {
  const P = p + extra;
  const square = (own: Float64Array): Float64Array => {
    const out = new Float64Array(P * P);
    for (let i = 0; i < P; i++) {
      if (i < p) out.set(rowOf(own, i, p), i * P);
      else out[i * P + i] = 1;
    }
    return out;
  };
  const longer = (own: Float64Array): Float64Array => Float64Array.from({ length: P }, (_, i) => own[i] ?? 0);
  return {
    mean: longer(prior.mean),
    covariance: square(prior.covariance),
    precision: square(prior.precision),
    cases: prior.cases.map((one) => ({
      ...one,
      mean: longer(one.mean),
      covariance: square(one.covariance),
      root: square(one.root),
      whitening: square(one.whitening),
    })),
  };
}
