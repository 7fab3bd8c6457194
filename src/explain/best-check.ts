import { candidateChecks } from "./candidate-checks.js";
import type { Foreseen, WeighedCheck } from "./check.js";
import type { Explanation, Verdict } from "./explain-cells.js";
import { actOn, foresee, specimenOfGroup } from "./foresee.js";
import { informationBetween } from "./information-between.js";

/** A check that is expected to bring fewer bits tells the two not apart; with 120 draws this is what chance alone may feign. */
export const WORTH_TAKING = 0.08;

/** Bits below this are rounding: both hypotheses foretell the same. */
const NOTHING = 1e-9;

/** The same for both hypotheses: where they foretell the same, no lot tells them apart. */
const SEED = 4001;

/**
 * The one reading that is expected to tell most about which of two hypotheses is true, were they equally likely; `null` when none is worth taking.
 * What the readings so far have left of each is put before it.
 */
export function bestCheck(explanation: Explanation, first: Verdict, second: Verdict): WeighedCheck | null {
  const best = rankedChecks(explanation, first, second)[0];
  return best && best.bits >= WORTH_TAKING ? best : null;
}

/** Every check that the job allows and in which one of the two would show, the most telling first. */
export function rankedChecks(explanation: Explanation, first: Verdict, second: Verdict): WeighedCheck[] {
  const { job, specimen } = explanation;
  const instruments = new Map(job.instruments.map((instrument) => [instrument.name, instrument]));
  const taken = new Set(explanation.cells.flatMap(({ readings }) => readings.map(keyOf)));
  return candidateChecks(job, specimen.cell)
    .map(({ checks, bench, setUp }) => ({
      ...{ bench, setUp },
      checks: bench === "cell" ? checks.filter((check) => !taken.has(keyOf(check))) : checks,
    }))
    .flatMap((group) => {
      const on = specimenOfGroup(job, group, specimen.cell);
      if (!actOn([...first.causes, ...second.causes], on)) return [];
      const a = foresee(explanation, first, group, on, SEED);
      const b = foresee(explanation, second, group, on, SEED);
      return group.checks.map((check, k): WeighedCheck => {
        const instrument = instruments.get(check.instrument)!;
        const bits = informationBetween(instrument, a[k]!, b[k]!);
        return { check, bits, foreseen: [foreseen(a[k]!), foreseen(b[k]!)] };
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
