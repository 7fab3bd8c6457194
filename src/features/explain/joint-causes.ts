import { quantileSorted } from "simple-statistics";
import { at, entryOf } from "../../core/numeric/dense.js";
import { type Cell, type PanelSide, probesAt, probesByJoint } from "../../model/cell/cell.js";
import { noErrors } from "../../model/cell/cell-errors.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { contributionsAt, type ReadCellDraws } from "./cell-draws.js";
import { nothingGoesIn } from "./cells-read.js";
import type { CauseId } from "./error-shares.js";

/** An uncertain quantity, mm: its mean, and the ends of its central 95 % interval. */
export interface GapRange {
  readonly mean: number;
  readonly low: number;
  readonly high: number;
}

/** Contribution of one cause to a gap, mm; negative if it closes the gap. */
export interface Contribution extends GapRange {
  readonly id: CauseId;
}

/** A joint that is open or pressed, and its causes. */
export interface JointCauses {
  readonly joint: string;
  /** The end that the figures refer to: where an open joint is widest, or a pressed one deepest. */
  readonly at: "toe" | "heel";
  readonly side?: PanelSide;
  readonly state: "open" | "pressed";
  /** The expected gap there, mm. */
  readonly gap: GapRange;
  /** The gap of the perfect cell there, mm; 0 unless the nominal drawing has one. */
  readonly asDrawn: number;
  /** Largest first; with `asDrawn` their means add up to that of the gap. */
  readonly contributions: readonly Contribution[];
  /** Probes of the whole joint. @internal */
  readonly probes: readonly number[];
}

/**
 * Every open or pressed joint of a cell, in descending order of deviation: joints where something went in or had to be forced, or whose expected gap or press exceeds the job's limits.
 */
export function jointCauses(job: Job, of: ReadCellDraws): JointCauses[] {
  const { cell, shares, draws } = of;
  if (draws.length === 0) return [];
  const { reader } = cell.part.specimen;
  const model = reader.cell;
  const limits = closingLimits(job);
  const nominal = reader.seatOne(noErrors(model), job).gap.slice();
  const means = Float64Array.from(model.probes, (_, probe) =>
    meanOf(draws.map(({ gaps }) => at(gaps, probe))),
  );
  const found = probesByJoint(model).flatMap((probes, index) => {
    const widest = probes.reduce((a, b) => (at(means, b) > at(means, a) ? b : a));
    const deepest = probes.reduce((a, b) => (at(means, b) < at(means, a) ? b : a));
    const { open, forced } = whatWasRead(model, cell.readings, probes);
    const isOpen = at(means, widest) > limits.gap || open;
    const isPressed = !isOpen && (at(means, deepest) < -limits.snug || forced);
    return isOpen || isPressed
      ? [
          {
            index,
            probes,
            probe: isOpen ? widest : deepest,
            state: isOpen ? ("open" as const) : ("pressed" as const),
          },
        ]
      : [];
  });
  const chosen = found.map(({ probe }) => probe);
  const byDraw = draws.map((draw) =>
    contributionsAt(reader, draw, chosen, { pressRatio: job.pressRatio, nominal }),
  );
  return found
    .map(({ probe, probes, state }, i): JointCauses => {
      const { joint, at: end, side } = at(model.probes, probe);
      const contributions = shares.ids
        .map((id, k) => ({
          id,
          ...spreadOf(byDraw.map((rows) => entryOf(rows, i, k, shares.ids.length))),
        }))
        .filter(({ mean, low, high }) => mean !== 0 || low !== high);
      return {
        joint: joint.name,
        at: end,
        ...(side && { side }),
        state,
        probes,
        gap: spreadOf(draws.map(({ gaps }) => at(gaps, probe))),
        asDrawn: at(nominal, probe),
        contributions: contributions.sort((a, b) => Math.abs(b.mean) - Math.abs(a.mean)),
      };
    })
    .sort((a, b) => Math.abs(b.gap.mean) - Math.abs(a.gap.mean));
}

/** Whether in a reading of a joint something went in, or had to be forced. */
function whatWasRead(
  cell: Cell,
  readings: readonly Reading[],
  probes: readonly number[],
): { open: boolean; forced: boolean } {
  const own = readings.filter(
    ({ subject, at: end, side }) =>
      subject !== null &&
      probesAt(cell, { joint: subject, at: end, side }).some((probe) => probes.includes(probe)),
  );
  return {
    open: own.some((reading) => !nothingGoesIn(reading) && (reading.value ?? reading.low ?? 0) > 0),
    forced: own.some(({ high }) => high !== null && high < 0),
  };
}

const meanOf = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;

/** Mean and central 95 % interval of equally probable values. */
export function spreadOf(values: readonly number[]): GapRange {
  const sorted = [...values].sort((a, b) => a - b);
  return { mean: meanOf(values), low: quantileSorted(sorted, 0.025), high: quantileSorted(sorted, 0.975) };
}
