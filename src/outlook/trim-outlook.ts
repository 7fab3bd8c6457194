import type { FittingStep } from "../predict/fitting/fitting-plan.js";
import { chanceFrom, type Estimated } from "./estimated.js";
import { GapCounts } from "./gap-counts.js";
import type { TrimCounts } from "./tally-blocks.js";

/** Shares of the cells at which the trim of a group is told. */
export const TRIM_QUANTILES = [0.05, 0.5, 0.95, 0.99] as const;

/** How the lengths of one group as cut stand to those that fit: what a maker who fits by trial needs to know of a stop. */
export interface TrimOutlook {
  /** `hinge-1 and hinge-2`. */
  readonly group: string;
  /** Chance that its pieces are shorter as cut than the snug limit asks for. */
  readonly tooShort: Estimated;
  /** Change of length at which they fit, mm: − comes off, + would have to be there; at {@link TRIM_QUANTILES}. */
  readonly wanted: readonly { readonly p: number; readonly value: number }[];
}

export function trimOutlook(steps: readonly FittingStep[], trims: readonly TrimCounts[]): TrimOutlook[] {
  return trims.map((counts, g): TrimOutlook => {
    const [off, missing] = [new GapCounts(counts.off), new GapCounts(counts.missing)];
    const { total } = missing;
    const longEnough = missing.shareUpTo(0);
    return {
      group: steps[g]!.group.name,
      tooShort: chanceFrom(Math.round((1 - longEnough) * total), total),
      wanted: TRIM_QUANTILES.map((p) => ({
        p,
        value: p > longEnough ? missing.quantile(p) : 0 - off.quantile(1 - p),
      })),
    };
  });
}
