import { addScaled, at, present } from "../../core/numeric/dense.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
import { type JobCells, readSpecimen } from "../../inference/likelihood/read-specimen.js";
import {
  benchSpecimen,
  cellSpecimen,
  lastRound,
  type Specimen,
} from "../../inference/likelihood/specimen.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { sourceKey } from "../../model/source-id.js";
import { solveEquilibrium } from "../../physics/predict/equilibrium.js";
import {
  type CheckGroup,
  candidateChecks,
  chanceRight,
  type Foreseen,
  informationBetween,
  type WeighedCheck,
} from "./candidate-checks.js";
import { type Cause, probesOf, usualErrors } from "./causes.js";
import type { Explanation, JudgedHypothesis } from "./explain-cells.js";
import { widestOf } from "./seat-cells.js";
import type { Draw, SizeFound } from "./weigh-hypothesis.js";

/** Least expected information, bits, of a check worth taking: with 120 draws as much may come of chance alone. */
export const WORTH_TAKING = 0.08;

/** Bits below this are rounding: both hypotheses predict the same. */
const NOTHING = 1e-9;

/** Both hypotheses share the same random numbers. */
const SEED = 4001;

/**
 * The one reading that is expected to tell most about which of two hypotheses is true, were they equally likely; `null` when none is worth taking.
 * What the readings so far have left of each is put before it.
 */
export function bestCheck(
  explanation: Explanation,
  first: JudgedHypothesis,
  second: JudgedHypothesis,
): WeighedCheck | null {
  const best = rankedChecks(explanation, first, second)[0];
  return best && best.bits >= WORTH_TAKING ? best : null;
}

/** Every check that the job allows and in which one of the two would show, the most telling first. */
export function rankedChecks(
  explanation: Explanation,
  first: JudgedHypothesis,
  second: JudgedHypothesis,
): WeighedCheck[] {
  const { job, specimen } = explanation;
  const instruments = new Map(job.instruments.map((instrument) => [instrument.name, instrument]));
  const taken = new Set(explanation.cells.flatMap(({ readings }) => readings.map(keyOf)));
  return candidateChecks(job, specimen.cell)
    .map(({ checks, bench, setUp }) => ({
      ...{ bench, setUp },
      checks: bench === "cell" ? checks.filter((check) => !taken.has(keyOf(check))) : checks,
    }))
    .flatMap((group) => {
      const on = specimenOfGroup(job, group, explanation.jobCells);
      if (!actOn([...first.causes, ...second.causes], on)) return [];
      const a = foresee(explanation, first, group, on, SEED);
      const b = foresee(explanation, second, group, on, SEED);
      return group.checks.map((check, k): WeighedCheck => {
        const instrument = present(instruments.get(check.instrument));
        const [one, other] = [at(a, k), at(b, k)];
        return {
          check,
          bits: informationBetween(instrument, one, other),
          right: chanceRight(instrument, one, other),
          foreseen: [foreseen(one), foreseen(other)],
        };
      });
    })
    .filter(({ bits }) => bits > NOTHING)
    .sort((x, y) => y.bits - x.bits);
}

const keyOf = ({
  subject,
  at,
  side,
  instrument,
}: Pick<WeighedCheck["check"], "subject" | "at" | "side" | "instrument">) =>
  `${subject} ${at} ${side} ${instrument}`;

function foreseen(values: Float64Array): Foreseen {
  const sorted = Float64Array.from(values).sort();
  const at = (share: number): number => sorted[Math.round(share * (sorted.length - 1))]!;
  return [at(0.05), at(0.5), at(0.95)];
}

/** Draws that predict a check. */
const DRAWS = 120;

/** What the checks of a group are read on. */
export function specimenOfGroup(job: Job, { bench, setUp }: CheckGroup, cells: JobCells): Specimen {
  const round = lastRound(job);
  return bench === "none" || bench === "cell"
    ? cellSpecimen(job, cells, round)
    : benchSpecimen(job, bench, present(setUp).name, round, cells);
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
  hypothesis: JudgedHypothesis,
  group: CheckGroup,
  specimen: Specimen,
  seed: number,
): Float64Array[] {
  const { causes, weighed } = hypothesis;
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
    const errors = usual.map((e, i) => e + at(specimen.betweenCutSd, i) * stream.normal());
    for (const [k, direction] of directions.entries()) {
      const away = at(sizes, k) - at(causes, k).priorMean;
      addScaled(errors, direction, away);
    }
    if (group.bench === "none") {
      const expected = readSpecimen(specimen.reader, errors, group.checks.map(asReading), job);
      for (const [k, { value }] of expected.entries()) at(out, k)[d] = value;
    } else {
      const { gap } = solveEquilibrium(specimen.reader.model, errors, job).rest;
      for (const [k, own] of probes.entries()) at(out, k)[d] = widestOf(own, gap);
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
  let [k, sum] = [0, at(weights, 0)];
  return Array.from({ length: DRAWS }, (_, i) => {
    const place = ((i + start) / DRAWS) * total;
    while (sum < place && k < draws.length - 1) sum += at(weights, ++k);
    return at(draws, k);
  });
}

/** A lean of which the readings tell the size and not the sign. */
export interface UnidentifiedSign {
  readonly cause: Cause;
  readonly size: SizeFound;
  /** The one reading that would tell the sign, foreseen above zero and below; `null` where none of the job's would. */
  readonly check: WeighedCheck | null;
}

/** Less probable hypotheses are not asked. */
const LIKELY = 0.1;

/** Every lean that a likely hypothesis takes to have either sign: as the single cause if that is likely, else among several. */
export function unidentifiedSigns(explanation: Explanation): UnidentifiedSign[] {
  const found = new Map<string, UnidentifiedSign>();
  const likely = explanation.hypotheses.filter(({ probability }) => probability >= LIKELY);
  for (const judged of likely.toSorted((a, b) => a.causes.length - b.causes.length)) {
    for (const [k, cause] of judged.causes.entries()) {
      const size = at(judged.sizes, k);
      if (cause.id.kind !== "lean" || size.other === null || found.has(sourceKey(cause.id))) continue;
      found.set(sourceKey(cause.id), { cause, size, check: signCheck(explanation, judged, k) });
    }
  }
  return [...found.values()];
}

/** One hypothesis weighed against itself: its draws with the cause above zero, and those with it below. */
function signCheck(explanation: Explanation, judged: JudgedHypothesis, k: number): WeighedCheck | null {
  const half = (sign: 1 | -1): JudgedHypothesis => {
    const draws = judged.weighed.draws.filter(({ sizes }) => Math.sign(at(sizes, k)) === sign);
    return { ...judged, weighed: { ...judged.weighed, draws } };
  };
  // What else differs between the halves is luck: only a side of a joint tells which way it leans.
  const best = rankedChecks(explanation, half(1), half(-1)).find(({ check }) => check.side !== undefined);
  return best && best.bits >= WORTH_TAKING ? best : null;
}

/** How much of what the readings could not see another reading would. */
export interface Unseen {
  /** For each cause the reading that would best tell it from nothing but scatter; `null` where none of the job's would. */
  readonly byCause: readonly { readonly judged: JudgedHypothesis; readonly check: WeighedCheck | null }[];
  /** For each instrument that reads gaps, the chance that it finds one open at any joint of this cell if there is a cause, most likely first. */
  readonly inThisCell: readonly {
    readonly instrument: string;
    readonly at: string;
    readonly chance: number;
  }[];
  /** Widest gap that such a cell still has, mm: half of them have a wider one. */
  readonly medianWidest: number;
}

/** What would see that which the readings of a cell did not. */
export function wouldSee(explanation: Explanation): Unseen {
  const { hypotheses, job, specimen } = explanation;
  const nothing = present(hypotheses.find(({ causes }) => causes.length === 0));
  const causes = hypotheses.filter((judged) => judged.causes.length === 1);
  const draws = causes.flatMap(({ weighed: { draws: list }, probability }) => {
    const total = list.reduce((sum, { logWeight }) => sum + Math.exp(logWeight), 0);
    return list.map(({ gaps, logWeight }) => ({ gaps, weight: (probability * Math.exp(logWeight)) / total }));
  });
  const all = draws.reduce((sum, { weight }) => sum + weight, 0);
  const every = probesOf(specimen.cell, { subject: null, at: null });
  return {
    byCause: causes.map((judged) => ({ judged, check: bestCheck(explanation, judged, nothing) })),
    inThisCell: job.instruments
      .filter(({ reads }) => reads.includes("gap"))
      .flatMap(({ name, reach, leaves, resolution, repeatability }) =>
        reach.map((at) => {
          const probes = probesOf(specimen.cell, { subject: null, at });
          const least = leaves[0] ?? Math.max(resolution ?? 0, 2 * repeatability);
          const seen = draws.filter(({ gaps }) => widestOf(probes, gaps) >= least);
          return { instrument: name, at, chance: seen.reduce((sum, { weight }) => sum + weight, 0) / all };
        }),
      )
      .sort((a, b) => b.chance - a.chance),
    medianWidest: weightedMedian(
      draws.map(({ gaps, weight }) => ({ value: widestOf(every, gaps), weight })),
      all,
    ),
  };
}

function weightedMedian(list: { value: number; weight: number }[], total: number): number {
  let left = total / 2;
  for (const { value, weight } of list.sort((a, b) => a.value - b.value)) {
    left -= weight;
    if (left <= 0) return value;
  }
  return 0;
}
