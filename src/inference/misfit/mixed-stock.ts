import { at, innerProduct, quadraticForm, rowTimes } from "../../core/numeric/dense.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import type { ReadingBlock } from "../likelihood/trial-blocks.js";
import { SCATTER_OF, SCATTERS } from "../posterior/block-density.js";
import { type Departure, MISFIT_PRIORS, NO_DEPARTURE } from "./departure.js";
import type { LocalModel, Scores } from "./local-model.js";

/** A partition of the pieces into two batches, with its log evidence against a single batch to second order: with its prior share, and without it. */
export interface Sorted {
  readonly departure: Departure;
  readonly log: number;
  readonly gain: number;
}

/** A unit that comes from one batch (a trial, or one of its pieces), given by the cut-to-cut errors that are its thickness. */
interface Unit {
  readonly name: string;
  readonly block: number;
  readonly latents: readonly number[];
}

/** Prior shares: one half for a single change of stock in the order of cutting, and a quarter each for mixed trials and for mixed single pieces. */
const SHARES = { change: 0.5, trials: 0.25, pieces: 0.25 };
/** With up to this many units all partitions are tried; with more, those visited by hill climbing from several starts. */
const MOST_SORTED_OUT = 11;
/** Number of partitions that are passed on, the best first. */
const KEPT = 3;

/**
 * Two batches of stock: finds by evidence which trials (or pieces) come from which.
 *
 * @param thicknessSd the job's scatter of thickness, mm.
 */
export function mixedStock(local: LocalModel, ratios: readonly number[], thicknessSd: number): Sorted[] {
  if (!(thicknessSd > 0)) return [];
  const pieces = piecesOf(local);
  const trials = local.trials.flatMap(({ trial }, block): Unit[] => {
    const latents = pieces.filter((unit) => unit.block === block).flatMap((unit) => unit.latents);
    return latents.length === 0 ? [] : [{ name: trial, block, latents }];
  });
  if (trials.length < 2) return [];
  const found = new Map<string, Way>();
  const tried = (units: readonly Unit[], scored: Scores, one: Float64Array, logShare: number): void => {
    const gain = logGain(scored, one);
    const log = gain + logShare;
    // A single change of stock is also one of the partitions of the trials.
    const key = `${units === pieces} ${(at(one, 0) > 0 ? one.map((value) => -value) : one).join(" ")}`;
    const known = found.get(key);
    found.set(key, {
      units,
      one,
      gain,
      log: known ? known.log + Math.log1p(Math.exp(log - known.log)) : log,
    });
  };
  const byTrial = scoresOf(local, trials, ratios, thicknessSd);
  for (const change of changesOf(local, trials))
    tried(trials, byTrial, change, Math.log(SHARES.change / (trials.length - 1)));
  const ways = (units: readonly Unit[], scored: Scores, share: number): void => {
    const each = Math.log(share) - (units.length - 1) * Math.LN2;
    for (const one of sortings(units, scored, changesOf(local, units))) tried(units, scored, one, each);
  };
  ways(trials, byTrial, SHARES.trials);
  if (pieces.length > trials.length)
    ways(pieces, scoresOf(local, pieces, ratios, thicknessSd), SHARES.pieces);
  const all = [...found.values()].sort((a, b) => b.log - a.log);
  // The evidence of the partitions that are not passed on is added to the best one.
  const most = all[0]?.log ?? 0;
  const rest = all.slice(KEPT).reduce((sum, { log }) => sum + Math.exp(log - most), 1);
  return all.slice(0, KEPT).map(({ units, one, gain, log }, k) => ({
    departure: departureOf(units, one, local, { thicknessSd, share: Math.exp(log - gain) }),
    gain,
    log: k === 0 ? log + Math.log(rest) : log,
  }));
}

/** A partition of units (−½ or ½ for each) with its log evidence, with and without its prior share. */
interface Way {
  readonly units: readonly Unit[];
  readonly one: Float64Array;
  readonly gain: number;
  readonly log: number;
}

/** Scores in units of the prior standard deviation of the difference between two batches. */
function scoresOf(
  local: LocalModel,
  units: readonly Unit[],
  ratios: readonly number[],
  thicknessSd: number,
): Scores {
  const additions = local.trials.map(({ latents, byLatent, readings }, block) =>
    units.flatMap((unit, k) => {
      if (unit.block !== block) return [];
      const errors = new Float64Array(latents);
      for (const latent of unit.latents) errors[latent] = MISFIT_PRIORS.stock / thicknessSd;
      return [{ k, change: Float64Array.from(readings, (_, i) => rowTimes(byLatent, i, latents, errors)) }];
    }),
  );
  return local.scores(additions, units.length, ratios);
}

/** Log evidence of a partition (−½ or ½ for each unit) against a single batch. */
function logGain({ gram, pull }: Scores, one: Float64Array): number {
  const a = quadraticForm(gram, one);
  return (innerProduct(one, pull) ** 2 / (1 + a) - Math.log1p(a)) / 2;
}

/** Partitions by a single change of stock, after each unit in the order of cutting except the last. */
function changesOf({ order }: LocalModel, units: readonly Unit[]): Float64Array[] {
  const times = units.map(({ block }) => at(order, block));
  const ends = [...new Set(times)].sort((a, b) => a - b).slice(0, -1);
  return ends.map((end) => Float64Array.from(times, (time) => (time <= end ? -0.5 : 0.5)));
}

function sortings(units: readonly Unit[], scored: Scores, starts: readonly Float64Array[]): Float64Array[] {
  const n = units.length;
  if (n <= MOST_SORTED_OUT)
    return Array.from({ length: 2 ** (n - 1) - 1 }, (_, code) =>
      Float64Array.from({ length: n }, (__, k) => (((code + 1) >> k) & 1 ? 0.5 : -0.5)),
    );
  const seen = new Map<string, Float64Array>();
  for (const start of [Float64Array.from(scored.pull, (value) => (value > 0 ? 0.5 : -0.5)), ...starts]) {
    let now = start.slice();
    let best = logGain(scored, now);
    for (let better = true; better; ) {
      better = false;
      seen.set(now.join(" "), now);
      for (let k = 0; k < n; k++) {
        const flipped = now.with(k, -at(now, k));
        seen.set(flipped.join(" "), flipped);
        const there = logGain(scored, flipped);
        if (there <= best) continue;
        [now, best, better] = [flipped, there, true];
      }
    }
  }
  return [...seen.values()].filter((one) => new Set(one).size > 1);
}

/** The pieces of all trials whose thickness the readings depend on. */
function piecesOf({ trials }: LocalModel): Unit[] {
  const thickness = SCATTERS.indexOf("thickness");
  return trials.flatMap(({ trial, block }, b) => {
    const own = [...block.kinds.keys()].filter((k) => SCATTER_OF[at(block.kinds, k)] === thickness);
    return own.map((latent) => ({
      name: own.length === 1 ? trial : `${ownerOf(block, latent)} of ${trial}`,
      block: b,
      latents: [latent],
    }));
  });
}

function ownerOf({ parts }: ReadingBlock, latent: number): string {
  for (const { specimen, latent: own } of parts) {
    const e = own.indexOf(latent);
    if (e >= 0) return at(errorLayout(specimen.cell).entries, e).owner;
  }
  return "";
}

/** A partition as an extension of the model; it lists the units of the smaller batch, and its unknown is how much thicker they are, mm. */
function departureOf(
  units: readonly Unit[],
  one: Float64Array,
  { trials }: LocalModel,
  { thicknessSd, share }: { readonly thicknessSd: number; readonly share: number },
): Departure {
  const upper = units.filter((_, k) => at(one, k) > 0);
  const other = units.filter((_, k) => at(one, k) < 0);
  const named = upper.length <= other.length ? upper : other;
  const weights = trials.map(({ latents }) => new Float64Array(latents));
  for (const unit of units)
    for (const latent of unit.latents)
      at(weights, unit.block)[latent] = (named.includes(unit) ? 0.5 : -0.5) / thicknessSd;
  return {
    ...NO_DEPARTURE,
    share,
    reason: { kind: "mixed stock", trials: named.map(({ name }) => name) },
    unknowns: [{ kind: "thickness", weights, sd: MISFIT_PRIORS.stock }],
  };
}
