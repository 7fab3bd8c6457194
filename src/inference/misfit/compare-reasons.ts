import { at } from "../../core/numeric/dense.js";
import type { Reading } from "../../model/readings.js";
import { SCATTERS } from "../posterior/block-density.js";
import { inPriorSds, posteriorMode, type TargetDensity, TO_COMPARE } from "../posterior/posterior-mode.js";
import { departuresOf } from "./catalogue.js";
import {
  type Departure,
  MISFIT_KINDS,
  type MisfitKind,
  type MisfitReason,
  NO_DEPARTURE,
} from "./departure.js";
import { type ExtendedFit, fitExtended } from "./extended-target.js";
import { LocalModel } from "./local-model.js";
import { mixedStock } from "./mixed-stock.js";

/** One kind of reason, represented by its most probable variety. */
export interface ComparedReason {
  readonly reason: MisfitReason;
  /** Natural log of the Bayes factor of this kind (its varieties weighted by their shares) against the model as it stands. */
  readonly logEvidence: number;
  /** Estimate of the extension's first unknown and its standard uncertainty, mm or rad; `null` if it has none. */
  readonly size: number | null;
  /** The extended model at its mode; `null` if its evidence was too small for a full fit. */
  readonly fit: ExtendedFit | null;
}

/** All kinds of reasons against the model as it stands. */
export interface Comparison {
  /** In descending order of evidence. */
  readonly reasons: readonly ComparedReason[];
  /** Natural log of the Bayes factor of all kinds together, each with the same prior probability, against the model as it stands. */
  readonly logEvidence: number;
}

/** Number of varieties of a kind, those with the largest evidence, for which the scatters are optimised again. */
const SOUGHT = 2;
/** The stated scatters are evaluated as well if the log ratio of a fitted scatter to the stated one exceeds this. */
const SAME_SCATTER = 0.15;
/** The scatters of a variety with a smaller log evidence are not optimised again. */
const UNLIKELY = -1;
/** A kind gets a full fit, with the cells seated again, if its local approximation has at least this log evidence and is not more than this much behind the largest. */
const CLOSER = { least: 0, behind: 8 };

/** When each trial was cut: by the order that its readings state, otherwise by its first row. */
export function orderOfCutting(trials: readonly string[], readings: readonly Reading[]): number[] {
  return trials.map((trial) => readings.findIndex((reading) => reading.trial === trial));
}

/**
 * Compares, by their evidence, the reasons why readings may differ from what the model predicts.
 *
 * @param stated the likelihood at the scatters that the job states.
 * @param start sources to search the mode from, rad and mm.
 */
export function compareReasons(stated: TargetDensity, start: Float64Array): Comparison {
  const { job, readings, sources, blocks } = stated;
  const mode = posteriorMode(stated, start, [], TO_COMPARE);
  const order = orderOfCutting(
    blocks.map(({ trial }) => trial),
    readings,
  );
  const local = new LocalModel(stated, mode, order);
  const plain = local.best(
    NO_DEPARTURE,
    SCATTERS.map(() => 1),
  );
  // Scatters estimated larger to accommodate the readings would hide the reason; the stated ones would overrate it if the true scatters are larger.
  const grown = plain.ratios.some((ratio) => Math.abs(Math.log(ratio)) > SAME_SCATTER);
  const asked = grown ? [plain.ratios, SCATTERS.map(() => 1)] : [plain.ratios];
  const tried = departuresOf(job, readings, local, plain.ratios).map((departure): Tried => {
    const found = asked.map((ratios) => {
      const own = ratios.map((ratio, k) => ratio * at(departure.scatters, k));
      return local.evidence(departure, own);
    });
    const own = found.reduce((a, b) => (b.log > a.log ? b : a));
    return {
      departure,
      log: Math.log(departure.share) + own.log - plain.log,
      own: own.log,
      ratios: own.ratios,
    };
  });
  for (const ratios of asked) {
    const held = local.evidence(NO_DEPARTURE, ratios).log;
    for (const { departure, log, gain } of mixedStock(local, ratios, job.betweenCutSd.thickness))
      tried.push({ departure, log: log + held - plain.log, own: gain + held, ratios });
  }
  const first = MISFIT_KINDS.flatMap((kind) => seenFirst(kind, tried, local));
  const most = Math.max(...first.map(({ log }) => log));
  const close = first.map((one) => one.log >= CLOSER.least && one.log >= most - CLOSER.behind);
  const fits = first.map(({ departure, ratios, unknowns }, k) =>
    close[k] ? fitExtended(stated, departure, ratios, unknowns) : null,
  );
  const base = closest(
    stated,
    plain.ratios,
    [
      inPriorSds(mode.estimates, sources),
      ...fits.flatMap((fit) =>
        fit ? [inPriorSds(fit.mode.estimates.slice(0, sources.length), sources)] : [],
      ),
    ],
    fits.every((fit) => fit === null),
  );
  const reasons = first
    .map(({ departure, log, best, unknowns }, k): ComparedReason => {
      const fit = at(fits, k);
      const p = sources.length;
      const [unknown] = departure.unknowns;
      const size = !unknown ? null : fit ? at(fit.mode.estimates, p) : at(unknowns, p) * unknown.sd;
      // The full fit of one variety corrects the local approximation of all varieties of its kind.
      const logEvidence = fit && base !== null ? log + (fit.log - base) - (best - plain.log) : log;
      return { reason: departure.reason, logEvidence, size, fit };
    })
    .sort((a, b) => b.logEvidence - a.logEvidence);
  return {
    reasons,
    logEvidence: logMean(
      reasons.map((one) => one.logEvidence),
      MISFIT_KINDS.length,
    ),
  };
}

/** The largest log evidence of the plain model among the modes found from several starts. */
function closest(
  stated: TargetDensity,
  ratios: readonly number[],
  starts: readonly Float64Array[],
  needless: boolean,
): number | null {
  if (needless) return null;
  return Math.max(...starts.map((start) => fitExtended(stated, NO_DEPARTURE, ratios, start).log));
}

interface Tried {
  readonly departure: Departure;
  /** Log evidence relative to the plain model, with the log of its share included. */
  readonly log: number;
  /** Log evidence of this variety by itself, not relative to the plain model. */
  readonly own: number;
  readonly ratios: readonly number[];
}

interface Seen extends Tried {
  /** Log evidence of its most probable variety by itself. */
  readonly best: number;
  readonly unknowns: Float64Array;
}

/** The most probable variety of a kind, with the evidence of all of them, as a list with one or no entry. */
function seenFirst(kind: MisfitKind, tried: readonly Tried[], local: LocalModel): Seen[] {
  const own = tried.filter(({ departure }) => departure.reason.kind === kind).sort((a, b) => b.log - a.log);
  if (own.length === 0) return [];
  const sought = own.slice(0, SOUGHT).map((one) => {
    if (one.log < UNLIKELY) {
      const { unknowns } = local.evidence(one.departure, one.ratios);
      return { ...one, unknowns, best: one.own };
    }
    const found = local.best(one.departure, one.ratios);
    const log = one.log + found.log - one.own;
    return { ...one, ratios: found.ratios, unknowns: found.unknowns, best: found.log, log };
  });
  const [first] = sought.toSorted((a, b) => b.log - a.log);
  if (!first) return [];
  const all = [...sought.map(({ log }) => log), ...own.slice(SOUGHT).map(({ log }) => log)];
  return [{ ...first, log: logMean(all, 1) }];
}

/** log(Σ exp(logs)/count). */
function logMean(logs: readonly number[], count: number): number {
  const most = Math.max(...logs);
  return Number.isFinite(most)
    ? most + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - most), 0) / count)
    : most;
}
