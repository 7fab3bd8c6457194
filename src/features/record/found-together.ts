import { at, columnOf, entryOf, rowOf, rowsOf } from "../../core/numeric/dense.js";
import { currentErrors } from "../../inference/current-errors.js";
import type { SourceFit } from "../../inference/estimates/fit-sources.js";
import type { JobPosterior } from "../../inference/job-posterior.js";
import { momentsOf } from "../../inference/posterior/trial-distribution.js";
import { type SourceId, sameSource } from "../../model/source-id.js";

/** One way in which the readings leave the jigs: normal, rad and mm, with its probability. */
interface FoundCase {
  readonly share: number;
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
}

/** The ramps, leans and stops that the readings say something of, as they are now; rad and mm. */
export interface FoundTogether {
  readonly sources: readonly SourceId[];
  /** Over all cases. */
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
  /** One case, or one for each combination of sides that the readings leave open. */
  readonly cases: readonly FoundCase[];
}

/** Combinations of sides with a smaller share are left out. */
const LEAST_SHARE = 0.005;
/** Draws for each source that a covariance of its own takes; a case of fewer has that of all cases. */
const DRAWS_FOR_EACH = 5;

/** What is to be kept of a posterior; `null` where the readings are not enough for any jig or stop. */
export function foundTogether(posterior: JobPosterior): FoundTogether | null {
  const { fit } = posterior;
  if (!fit) return null;
  const now = currentErrors(posterior);
  const m = now.sources.length;
  const kept = [...now.sources.keys()].filter((i) => {
    const { id } = at(now.sources, i);
    return (id.kind === "ramp" || id.kind === "lean" || id.kind === "stop") && isInformed(fit, id);
  });
  const enough = kept.some((i) => {
    const own = fit.sources.find(({ id }) => sameSource(id, at(now.sources, i).id));
    return own?.fromData || (own?.priorMean ?? 0) !== 0;
  });
  if (!enough) return null;
  const n = kept.length;
  const mean = Float64Array.from(kept, (i) => at(now.mean, i));
  const covariance = Float64Array.from({ length: n * n }, (_, k) =>
    entryOf(now.covariance, at(kept, Math.floor(k / n)), at(kept, k % n), m),
  );
  const sources = kept.map((i) => at(now.sources, i).id);
  const draws = Float64Array.from(rowsOf(now.sample, m).flatMap((row) => kept.map((i) => at(row, i))));
  return { sources, mean, covariance, cases: casesOf(fit, { mean, covariance }, draws, n) };
}

/** Whether anything was learned of a source, alone or together with others: its row of the covariance is not that of its prior. */
function isInformed({ sources, covariance }: SourceFit, id: SourceId): boolean {
  const p = sources.length;
  const i = sources.findIndex((source) => sameSource(source.id, id));
  if (i < 0) return false;
  const { priorSd, priorMean = 0 } = at(sources, i);
  const row = rowOf(covariance, i, p);
  return (
    priorMean !== 0 ||
    row.some((value, j) => Math.abs(value - (i === j ? priorSd ** 2 : 0)) > 1e-9 * priorSd ** 2)
  );
}

/** The draws by the signs of the sources whose sign the readings do not tell. */
function casesOf(
  fit: SourceFit,
  whole: Omit<FoundCase, "share">,
  draws: Float64Array,
  n: number,
): FoundCase[] {
  const p = fit.sources.length;
  const sided = [...fit.sources.keys()].filter((i) => at(fit.sources, i).sides !== null);
  if (sided.length === 0) return [{ share: 1, ...whole }];
  const signs = sided.map((i) => columnOf(fit.sample, i, p));
  const bySigns = new Map<string, number[]>();
  const all = draws.length / n;
  for (let d = 0; d < all; d++) {
    const key = signs.map((column) => (at(column, d) >= 0 ? "+" : "-")).join("");
    bySigns.set(key, [...(bySigns.get(key) ?? []), d]);
  }
  const groups = [...bySigns.values()].filter((rows) => rows.length >= LEAST_SHARE * all);
  const counted = groups.reduce((sum, rows) => sum + rows.length, 0);
  const moments = groups.map((rows) =>
    momentsOf(Float64Array.from(rows.flatMap((d) => [...rowOf(draws, d, n)])), n),
  );
  const pooled = Float64Array.from({ length: n * n }, (_, k) =>
    moments.reduce((sum, { covariance }, g) => sum + (at(covariance, k) * at(groups, g).length) / counted, 0),
  );
  return moments.map(({ mean, covariance }, g) => {
    const rows = at(groups, g).length;
    return { share: rows / counted, mean, covariance: rows < DRAWS_FOR_EACH * n ? pooled : covariance };
  });
}
