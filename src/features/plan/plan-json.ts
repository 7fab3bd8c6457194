import type { TrialPlan } from "../../inference/design/plan-trials.js";

const DEGREE = Math.PI / 180;

/** A plan as plain data for other programs: lengths in mm, angles in degrees; an endless leeway is `null`. */
export function planJson({ aim, trials, sources, uncertainties, safety, ...plan }: TrialPlan): object {
  return {
    ...{ aim, readingsBefore: plan.readingsBefore, minutes: plan.minutes, pieces: plan.pieces },
    efficiency: plan.efficiency,
    worstGapUncertainty: { before: plan.gapBefore, after: trials.at(-1)?.gapAfter ?? plan.gapBefore },
    trials: trials.map(({ option, trial, gapAfter, shareAfter }) => ({
      ...{ trial, sample: option.sample, minutes: option.minutes, pieces: option.pieces },
      ...{ worstGapUncertaintyAfter: gapAfter, shareAfter },
      readings: option.readings.map(({ bench, what, subject, at, instrument, setUp, round }) => ({
        ...{ setUp, round, bench, what, joint: subject, at, instrument },
      })),
    })),
    sources: sources.map(({ name, angular }, i) => {
      const unit = angular ? DEGREE : 1;
      const { before, after } = uncertainties[i]!;
      return { name, unit: angular ? "deg" : "mm", before: before / unit, after: after / unit };
    }),
    safety: {
      ...{ sure: safety.sure, now: safety.now, afterPlan: safety.afterPlan },
      ...{ piecesNeeded: safety.piecesNeeded, trialsNeeded: safety.trialsNeeded },
      leeways: safety.leeways.map(({ adjuster, low, high }) => {
        const unit = adjuster.kind === "shim" ? DEGREE : 1;
        const end = (value: number): number | null => (Number.isFinite(value) ? value / unit : null);
        return {
          ...{ adjuster: adjuster.name, unit: adjuster.kind === "shim" ? "deg" : "mm" },
          ...{ low: end(low), high: end(high) },
        };
      }),
    },
  };
}
