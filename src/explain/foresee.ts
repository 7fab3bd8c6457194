import { readSpecimen } from "../calibrate/read-specimen.js";
import { benchSpecimen, cellSpecimen, lastRound, type Specimen } from "../calibrate/specimen.js";
import type { Job } from "../job/job.js";
import { createStream, type RandomStream } from "../numeric/random-stream.js";
import { cellModel } from "../predict/cell-model.js";
import { settle } from "../predict/settle.js";
import type { Reading } from "../readings/reading.js";
import type { CheckGroup } from "./candidate-checks.js";
import type { Cause } from "./cause.js";
import { probesOf } from "./cells-read.js";
import type { Explanation, Verdict } from "./explain-cells.js";
import { usualErrors } from "./hypothesis.js";
import { widestOf } from "./log-likelihood.js";
import type { Draw } from "./weigh-hypothesis.js";

/** Draws that foretell a check. */
const DRAWS = 120;

/** What the checks of a group are read on. */
export function specimenOfGroup(job: Job, { bench, setUp }: CheckGroup, cell: Specimen["cell"]): Specimen {
  const round = lastRound(job);
  return bench === "none" || bench === "cell"
    ? cellSpecimen(job, cell, round)
    : benchSpecimen(job, bench, setUp!.name, round);
}

/** Whether any of the causes shows on a specimen at all. */
export const actOn = (causes: readonly Cause[], specimen: Specimen): boolean =>
  causes.some(({ on }) => on(specimen).some((slope) => slope !== 0));

/**
 * What the checks of a group would show if a hypothesis is true, before the instrument's own scatter: one row a check, mm or rad.
 * The size of the cause is drawn from what the readings left of it; a fresh trial piece has cut-to-cut errors of its own, the same cell those that explain it.
 */
export function foresee(
  { job }: Pick<Explanation, "job">,
  { causes, weighed }: Verdict,
  group: CheckGroup,
  specimen: Specimen,
  seed: number,
): Float64Array[] {
  const stream = createStream(seed);
  const draws = resampled(weighed.draws, stream);
  const probes = group.checks.map((check) => probesOf(specimen.cell, check));
  if (group.bench === "cell") {
    return probes.map((own) => Float64Array.from(draws, ({ gaps }) => widestOf(own, gaps)));
  }
  const usual = usualErrors(job, specimen);
  const directions = causes.map(({ on }) => on(specimen));
  const out = group.checks.map(() => new Float64Array(DRAWS));
  for (const [d, { sizes }] of draws.entries()) {
    const errors = usual.map((e, i) => e + specimen.scatter[i]! * stream.normal());
    for (const [k, direction] of directions.entries()) {
      const away = sizes[k]! - causes[k]!.expected;
      for (let i = 0; i < errors.length; i++) errors[i]! += away * direction[i]!;
    }
    if (group.bench === "none") {
      const expected = readSpecimen(specimen.cell, errors, group.checks.map(asReading), job);
      for (const [k, { value }] of expected.entries()) out[k]![d] = value;
    } else {
      const { gap } = settle(cellModel(specimen.cell), errors, job).rest;
      for (const [k, own] of probes.entries()) out[k]![d] = widestOf(own, gap);
    }
  }
  return out;
}

const asReading = (check: CheckGroup["checks"][number], i: number): Reading => ({
  ...check,
  ...{ id: String(i), line: 0, trial: "check", round: null, value: null, note: "" },
  ...{ low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY },
});

/** Draws in the shares of their weights: one lot for all, at even distances, for as even a sample as there is. */
function resampled(draws: readonly Draw[], stream: RandomStream): Draw[] {
  const most = Math.max(...draws.map(({ logWeight }) => logWeight));
  const weights = draws.map(({ logWeight }) => (logWeight === most ? 1 : Math.exp(logWeight - most)));
  const total = weights.reduce((a, b) => a + b, 0);
  const start = stream.uniform();
  let [k, sum] = [0, weights[0]!];
  return Array.from({ length: DRAWS }, (_, i) => {
    const place = ((i + start) / DRAWS) * total;
    while (sum < place && k < draws.length - 1) sum += weights[++k]!;
    return draws[k]!;
  });
}
