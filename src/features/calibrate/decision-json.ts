import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import type { Calibration } from "../../inference/calibrate-job.js";
import type { Adjuster, Setting } from "../../inference/decision/adjusters.js";
import type { Advice } from "../../inference/decision/decide-moves.js";
import type { ReadingValue } from "../../inference/design/value-of-reading.js";
import type { Job } from "../../model/job/job.js";
import { readingName } from "../plan/index.js";
import { holdSentence, reasonText } from "./card/move-sentences.js";

// docs/job-files.md lists these keys. Amounts are in scrapped pieces over the batch, lengths in mm, angles in degrees.

const unitOf = ({ kind }: Adjuster): number => (kind === "shim" ? DEGREE : 1);

const settingJson = (adjuster: Adjuster, { change, leaves, steps }: Setting): object => ({
  change: change / unitOf(adjuster),
  leaves,
  steps,
});

/** The decision on every jig and stop, and its reasons. */
export const movesJson = ({ decision, job }: Calibration): object[] =>
  decision.advice.map((advice: Advice) => {
    const { adjuster, verdict, setting, considered, wanted, standardUncertainty } = advice;
    const { gain, paysFrom, alone, valueOfInformation, read, readPays } = advice;
    const unit = unitOf(adjuster);
    return {
      adjuster: adjuster.name,
      kind: adjuster.kind,
      verdict,
      unit: adjuster.kind === "shim" ? "deg" : "mm",
      ...settingJson(adjuster, setting),
      wanted: wanted / unit,
      standardUncertainty: standardUncertainty / unit,
      considered: settingJson(adjuster, considered),
      gain,
      paysFromCells: paysFrom,
      alone: { what: alone.kind, size: alone.size, limit: alone.limit, joint: alone.joint, at: alone.at },
      valueOfInformation,
      readPays,
      read: read && readingJson(read, job),
      reason: reasonText(advice, job, decision.hold !== null),
    };
  });

function readingJson(found: ReadingValue, job: Job): object {
  const { readings, borrowed, value, standardError, cost } = found;
  return {
    text: readingName(found, job),
    borrowed,
    value,
    standardError,
    cost,
    readings: readings.map(({ bench, what, subject, at, instrument, setUp }) => ({
      setUp,
      bench,
      what,
      subject,
      at,
      instrument,
    })),
  };
}

/** The overall decision: whether moves are held back, the expected losses, and the decision at other limits. */
export const decisionJson = ({ decision, verdict, job }: Calibration): object => ({
  hold: decision.hold && holdSentence(decision.hold, verdict),
  loss: decision.loss,
  cells: job.costs.cells,
  readFirst: decision.readFirst && readingJson(decision.readFirst, job),
  fewer: decision.fewer && {
    moves: decision.advice.flatMap(({ adjuster }, k) => {
      const setting = at(decision.fewer?.settings ?? [], k);
      return setting.change === 0 ? [] : [{ adjuster: adjuster.name, ...settingJson(adjuster, setting) }];
    }),
    outcome: decision.fewer.fewer,
    chosen: decision.fewer.chosen,
  },
  otherLimits: decision.otherLimits.map(({ scale, settings }) => ({
    scale,
    moves: decision.advice.flatMap(({ adjuster }, k) => {
      const setting = at(settings, k);
      return setting.change === 0 ? [] : [{ adjuster: adjuster.name, ...settingJson(adjuster, setting) }];
    }),
  })),
});
