import { at } from "../../core/numeric/dense.js";
import type { Job } from "../../model/job/job.js";
import { isAngleReading, type Reading } from "../../model/readings.js";
import { isAngular } from "../../model/source-id.js";
import { SCATTERS } from "../posterior/block-density.js";
import { AS_STATED, type Departure, type ExtraUnknown, MISFIT_PRIORS, NO_DEPARTURE } from "./departure.js";
import type { LocalModel } from "./local-model.js";
import { swapsOf } from "./swaps.js";

/** Minimum number of readings of an instrument for a bias, and of trials for a drift or an odd trial, to be considered. */
const FEWEST_READINGS = 2;
const FEWEST_TRIALS = 3;

/**
 * All extensions that are compared, except mixed stock, which is found by a search (mixed-stock.ts).
 *
 * @param ratios ratios of the scatters at which exchanges of readings are first evaluated.
 */
export function departuresOf(
  job: Job,
  readings: readonly Reading[],
  local: LocalModel,
  ratios: readonly number[],
): Departure[] {
  return [
    ...biasesOf(job, readings),
    ...driftsOf(local),
    ...swapsOf(readings, local, ratios),
    ...oddTrialsOf(local),
    ...scattersOf(job, readings, local),
  ];
}

const shared = <T>(found: readonly T[], make: (one: T, share: number) => Departure): Departure[] =>
  found.map((one) => make(one, 1 / found.length));

function usedInstruments({ instruments }: Job, readings: readonly Reading[]) {
  return instruments.flatMap(({ name }) => {
    const own = readings.filter(({ instrument }) => instrument === name);
    return own.length < FEWEST_READINGS
      ? []
      : [{ instrument: name, angular: own.every(({ what }) => isAngleReading(what)) }];
  });
}

function biasesOf(job: Job, readings: readonly Reading[]): Departure[] {
  return shared(usedInstruments(job, readings), ({ instrument, angular }, share) => ({
    ...NO_DEPARTURE,
    share,
    reason: { kind: "gauge bias", instrument, angular },
    unknowns: [
      { kind: "bias", instrument, sd: angular ? MISFIT_PRIORS.bias.angle : MISFIT_PRIORS.bias.length },
    ],
  }));
}

/** Prior shares of drifting ramps, stops and thickness; and the share of all ramps (or stops) drifting instead of one. */
const DRIFT_SHARES = { ramp: 0.6, stop: 0.3, thickness: 0.1 };
const ALL_DRIFT = 0.2;

/** Drifts of each ramp, each stop and the thickness by itself, and of all ramps or all stops together, each by its own amount. */
function driftsOf(local: LocalModel): Departure[] {
  const { sources } = local;
  const single = sources.flatMap(({ id }, index) => {
    const { kind, round } = id;
    if (round !== undefined || (kind !== "ramp" && kind !== "stop" && kind !== "thickness")) return [];
    const shares = orderShares(local, index);
    if (shares === null) return [];
    const sd = isAngular(kind) ? MISFIT_PRIORS.drift.angle : MISFIT_PRIORS.drift.length;
    const unknown: ExtraUnknown = { kind: "drift", sources: [index], shares, sd };
    return [{ id, unknown }];
  });
  const kinds = Object.entries(DRIFT_SHARES).filter(([kind]) => single.some(({ id }) => id.kind === kind));
  const total = kinds.reduce((sum, [, share]) => sum + share, 0);
  return kinds.flatMap(([kind, share]) => {
    const own = single.filter(({ id }) => id.kind === kind);
    const all = own.length < 2 ? 0 : ALL_DRIFT;
    const drift = (list: typeof own, part: number): Departure => ({
      ...NO_DEPARTURE,
      share: (part * share) / total,
      unknowns: list.map(({ unknown }) => unknown),
      reason: { kind: "drift", sources: list.map(({ id }) => id) },
    });
    return [...own.map((one) => drift([one], (1 - all) / own.length)), ...(all > 0 ? [drift(own, all)] : [])];
  });
}

/**
 * Position of each trial in the order of cutting among those that a source acts on: from −½ for the first to ½ for the last, 0 for trials it does not act on. `null` if fewer than
 * {@link FEWEST_TRIALS} different times of cutting are known.
 */
export function orderShares(local: LocalModel, source: number): Float64Array | null {
  const times = local.order.flatMap((time, b) => (local.dependsOn(b, source) ? [time] : []));
  if (new Set(times).size < FEWEST_TRIALS) return null;
  const [first, last] = [Math.min(...times), Math.max(...times)];
  return Float64Array.from(local.order, (time, b) =>
    local.dependsOn(b, source) ? (time - first) / (last - first) - 0.5 : 0,
  );
}

function oddTrialsOf({ trials }: LocalModel): Departure[] {
  if (trials.length < FEWEST_TRIALS) return [];
  const found = trials.flatMap(({ trial, readings, latents }, block) =>
    readings.length < 2 || latents === 0
      ? []
      : MISFIT_PRIORS.oddFactors.map((factor) => ({ trial, odd: { block, factor } })),
  );
  return shared(found, ({ trial, odd }, share) => ({
    ...NO_DEPARTURE,
    share,
    odd,
    reason: { kind: "odd trial", trial },
  }));
}

function scattersOf(job: Job, readings: readonly Reading[], { informed }: LocalModel): Departure[] {
  const kinds = [...SCATTERS.keys()].filter((k) => informed[k] && job.betweenCutSd[at(SCATTERS, k)] > 0);
  const cuts = [...(kinds.length > 1 ? [kinds] : []), ...kinds.map((k) => [k])].map((own) => ({
    of: own.length > 1 ? ("all" as const) : at(SCATTERS, at(own, 0)),
    own,
  }));
  const found = MISFIT_PRIORS.scatterFactors.flatMap((factor) => [
    ...cuts.map(({ of, own }) => ({
      reason: { kind: "larger scatter" as const, of, factor },
      scatters: AS_STATED.map((stated, k) => (own.includes(k) ? factor : stated)),
      noise: null,
    })),
    ...usedInstruments(job, readings).map(({ instrument }) => ({
      reason: { kind: "larger scatter" as const, of: { instrument }, factor },
      scatters: AS_STATED,
      noise: { instrument, factor },
    })),
  ]);
  return shared(found, (one, share) => ({ ...NO_DEPARTURE, ...one, share }));
}
