import type { Arrangement } from "../../lattice/arrangement.js";
import { benchNames } from "../../lattice/bench-names.js";
import type { Instrument } from "../../readings/instrument.js";
import type { ReadingBench } from "../../readings/reading.js";
import type { JobPath, JobSource } from "../file/job-source.js";
import { benchCostShape, readingCostShape, trialCostsShape } from "../shape/trial-costs-shape.js";
import { benchCost, TRIAL_COSTS, type TrialCosts } from "../trial-costs.js";
import { faultSentence } from "../unfit.js";
import { nearest, unknownWord } from "../words.js";

const GROUP = "trial-costs";

/** What trial cuts cost, with the usual figures where the job is silent. */
export function readTrialCosts(
  source: JobSource,
  instruments: readonly Instrument[],
  arrangement: Arrangement,
): TrialCosts {
  if (source.at([GROUP]) === undefined) return TRIAL_COSTS;
  const read = source.take([GROUP], trialCostsShape);
  if (read === undefined) return TRIAL_COSTS;
  const known: readonly ReadingBench[] = [...benchNames(arrangement), "cell", "none"];
  const benches = { ...TRIAL_COSTS.benches };
  for (const [name, path] of namesAmong(source, [GROUP, "benches"], "bench", known)) {
    const cost = source.take(path, benchCostShape);
    const usual = benchCost(TRIAL_COSTS, name);
    if (cost) benches[name] = { minutes: cost.minutes ?? usual.minutes, pieces: cost.pieces ?? usual.pieces };
  }
  const tools = instruments.map(({ name }) => name);
  const byInstrument = namesAmong(source, [GROUP, "instruments"], "instrument in this job", tools).map(
    ([name, path]): [string, number] => [name, source.take(path, readingCostShape) ?? 0],
  );
  return {
    ...TRIAL_COSTS,
    piece: read.piece ?? TRIAL_COSTS.piece,
    benches,
    instruments: Object.fromEntries(byInstrument),
  };
}

/** The entries of a group whose names are known; another name is noted as a fault. */
function namesAmong<T extends string>(
  source: JobSource,
  path: JobPath,
  kind: string,
  known: readonly T[],
): [T, JobPath][] {
  return source
    .entries(path, `${String(path.at(-1))} of the trial costs`)
    .flatMap(([name, at]): [T, JobPath][] => {
      const found = known.find((one) => one === name);
      if (found !== undefined) return [[found, at]];
      const [problem, rule] = unknownWord(name, kind, known);
      const meant = nearest(name, known) ?? known[0] ?? name;
      const example = `${meant}: ${path.at(-1) === "benches" ? "{ minutes: 2 }" : "0.5"}`;
      source.refuseKey(at, faultSentence({ what: kind, problem, rule, value: name }), example);
      return [];
    });
}
