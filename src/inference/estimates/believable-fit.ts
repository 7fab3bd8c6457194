import { UserError } from "../../core/errors.js";
import type { SourceId } from "../../model/source-id.js";
import type { SourceFit } from "./fit-sources.js";
import type { ReadingResidual } from "./judge-fit.js";

/**
 * Largest deviations, in standard deviations, of readings and estimates from what the job states; beyond them no advice is given: of a reading from what the fit
 * expects, of an estimate from its prior, and of the scatter found as a multiple of the scatter stated. A reading that is so far off is not bad luck but a slip;
 * a ramp with a prior standard deviation of 0.1° can still be found 10° off. Our own choice, no source.
 */
const FARTHEST = { reading: 20, source: 100, scatter: 10 } as const;

/**
 * Rejects a fit that cannot come from any real shop, because a move or a figure based on it would be worse than none. If the job allows for mistakes, single
 * readings may be off by any amount: the fit treats them as mistakes.
 *
 * @throws UserError (code "command") that lists the readings, with file and row, and the sources
 */
export function requireBelievable(fit: SourceFit, residuals: readonly ReadingResidual[]): void {
  const { mistakes } = fit.target.job;
  const far =
    mistakes > 0 ? [] : residuals.filter(({ residual }) => !(Math.abs(residual) <= FARTHEST.reading));
  const pulled = fit.sources.filter(
    ({ estimate, priorMean = 0, priorSd }) => !(Math.abs(estimate - priorMean) <= FARTHEST.source * priorSd),
  );
  const scattered = Object.entries(fit.betweenCutSd).filter(
    ([, { used, stated }]) => stated > 0 && !(used <= FARTHEST.scatter * stated),
  );
  const [worst] = residuals.toSorted((a, b) => Math.abs(b.residual) - Math.abs(a.residual));
  const suspect =
    worst && !far.includes(worst) ? ` ${capitalised(nameOfReading(worst))} stands out most.` : "";
  const found = [
    ...far.map(
      (one) =>
        `${nameOfReading(one)} is ${times(one.residual)} further from the others than its instrument and the scatter allow`,
    ),
    ...pulled.map(
      ({ id, estimate, priorMean = 0, priorSd }) =>
        `${nameOf(id)} would be off by ${times((estimate - priorMean) / priorSd)} what the job trusts it to`,
    ),
    ...scattered.map(
      ([of, { used, stated }]) =>
        `the ${of} would scatter ${times(used / stated)} more from cut to cut than the job says`,
    ),
  ];
  if (found.length === 0) return;
  throw new UserError(
    "command",
    `The readings do not fit the job at all, so nothing is advised: ${found.slice(0, MOST_NAMED).join("; ")}.${suspect} Look for a wrong unit, a slipped digit or a wrong piece in them; if they are right, a trusted-to or a scatter in the job is far too small.`,
  );
}

const MOST_NAMED = 5;

const times = (ratio: number): string => `${Math.round(Math.abs(ratio)).toLocaleString("en")} times`;

/** `reading a04 (my-screen/trials.csv, line 5)`. */
const nameOfReading = ({ reading: { id, line, file = "the trials" } }: ReadingResidual): string =>
  `reading ${id}${line > 0 ? ` (${file}, line ${line})` : ""}`;

const capitalised = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;

const nameOf = ({ kind, of }: SourceId): string =>
  of === "" ? "the thickness of the batch" : `the ${kind} of ${of}`;
