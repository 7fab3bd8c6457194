import type { Arrangement } from "../cell/arrangement.js";
import { mitreShare } from "../cell/asanoha-square.js";
import { type BenchName, benchNamed } from "../cell/benches.js";
import type { Cell } from "../cell/cell.js";
import { type AsCut, asCutErrors, errorLayout } from "../cell/cell-errors.js";
import { compileCell } from "../cell/compile-cell.js";
import { isAngleReading } from "../readings.js";
import { jigOf, type SetUp, type Shop, setUpByGroup } from "../shop.js";
import { leanSense } from "../sources.js";
import type { Job } from "./job.js";

/**
 * The pieces, walls and groups of cuts of a job's cell, before its joints are found.
 *
 * @throws RangeError when the arrangement was computed for another strip thickness, which cannot happen with a loaded job.
 * @example
 * jobArrangement(job).pieces.length // 7
 */
export function jobArrangement({ arrangement, strip }: Pick<Job, "arrangement" | "strip">): Arrangement {
  if (arrangement.strip !== strip)
    throw new RangeError(
      `The job's strip is ${strip} mm and its pattern was worked out for ${arrangement.strip} mm.`,
    );
  return arrangement;
}

/**
 * The cell that a job describes, at nominal size.
 *
 * @throws UserError (code "cell") when the strip does not suit the opening, which cannot happen with a loaded job.
 * @example
 * jobCell(job).joints.length // 22
 */
export const jobCell = (job: Pick<Job, "arrangement" | "strip" | "depth" | "jigs" | "asCut">): Cell =>
  compileCell(atJobDepth(jobArrangement(job), job));

/**
 * The named bench for a trial piece cut at a set-up of the job.
 *
 * @throws UserError (code "cell") when it does not suit the set-up's jig.
 */
export function jobBench(job: Job, name: BenchName, setUp: SetUp): Arrangement {
  const jigAngle = jigOf(job, setUp).ramp;
  const seatShare = mitreShare(job.arrangement, setUp.cuts);
  const bench = benchNamed(name, {
    strip: job.strip,
    jigAngle,
    ...(seatShare === undefined ? {} : { seatShare }),
  });
  return atJobDepth(bench, job);
}

/**
 * The as-cut elementary errors of a job's cell (rad and mm, in the layout of `errorLayout`): those that the file lists, and the known lean of the jig
 * for every cut that the file gives no lean of its own.
 *
 * @example
 * jobAsCut(job, jobCell(job)).every((error) => error === 0) // true
 */
export function jobAsCut(
  job: Pick<Job, "asCut" | "jigs" | "setUps" | "batchThickness">,
  cell: Cell,
): Float64Array {
  const asCut: AsCut = job.asCut ?? {};
  const errors = asCutErrors(cell, asCut);
  if (cell.depth === undefined) return errors;
  const { indexOf } = errorLayout(cell);
  const setUpOf = setUpByGroup(job);
  for (const { name, cuts } of cell.pieces) {
    for (const cut of cuts) {
      const setUp = setUpOf(cut);
      if (!setUp || asCut.pieces?.[name]?.cuts?.[cut.face]?.lean !== undefined) continue;
      const { lean } = jigOf(job, setUp);
      if (lean) errors[indexOf("lean", name, cut.face)] = leanSense(lean, cut) * lean.priorMean;
    }
  }
  return errors;
}

type Leaning = Pick<Job, "depth" | "jigs" | "asCut">;

/** The depth of a job's cells between the front and the back, where both are read, mm; `undefined` when nothing leans, so that both read the same. */
export function leaningDepth({ depth, jigs, asCut }: Leaning): number | undefined {
  const leansByJig = jigs.some(({ lean }) => lean && (lean.priorMean !== 0 || lean.priorSd > 0));
  const leansAsCut = Object.values(asCut?.pieces ?? {}).some(({ cuts = {} }) =>
    Object.values(cuts).some(({ lean = 0 }) => lean !== 0),
  );
  return leansByJig || leansAsCut ? depth : undefined;
}

/** A cell or bench of a job, with the job's depth where anything leans. */
export function atJobDepth(arrangement: Arrangement, job: Leaning): Arrangement {
  const depth = leaningDepth(job);
  return depth === undefined ? arrangement : { ...arrangement, depth };
}

/** The jigs, set-ups, rounds, references and instruments of a job as the error sources see them. */
export const jobShop = (job: Job): Shop => ({
  jigs: job.jigs,
  setUps: job.setUps,
  batchThickness: job.batchThickness,
  rounds: job.rounds,
  references: job.references,
  biases: job.instruments.flatMap(({ name, reads, bias, biasPriorSd }) =>
    bias === 0 && biasPriorSd === 0
      ? []
      : [{ instrument: name, bias, priorSd: biasPriorSd, angular: reads.some(isAngleReading) }],
  ),
});
