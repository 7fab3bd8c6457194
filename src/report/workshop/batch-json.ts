import type { GoNoGo } from "../../batch/go-no-go.js";
import type { NamedWatch } from "./batch-text.js";

/** A batch as plain data for other programs: mm, pieces by their ids. */
export function batchJson(watches: readonly NamedWatch[], sizes: GoNoGo | null): object {
  return {
    batches: watches.map(({ piece, what, ids, watch }) => {
      const named = (places: readonly number[]) => places.map((i) => ids[i]);
      const { individuals, ewma, firstSignal, ...rest } = watch;
      return {
        ...{ piece, what, ids, ...rest },
        firstSignal: firstSignal === null ? null : ids[firstSignal],
        individuals: { ...individuals, beyond: named(individuals.beyond), jumps: named(individuals.jumps) },
        ewma: { ...ewma, beyond: named(ewma.beyond) },
      };
    }),
    sizes,
  };
}
