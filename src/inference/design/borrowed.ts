import { DEGREE } from "../../core/geometry.js";
import type { Job } from "../../model/job/job.js";
import type { Instrument, ReadQuantity } from "../../model/readings.js";

// What a small shop can usually borrow or buy for little. The figures are common practice, no source: such instruments are sold with a step of 0.1° or 0.01 mm.

const plain = { reach: [], resolution: null, bias: 0, biasPriorSd: 0, leaves: [] } as const;

const ANGLE_BOX: Instrument = {
  ...plain,
  name: "angle box",
  reads: ["angle", "ramp"],
  resolution: 0.1 * DEGREE,
  repeatability: 0.05 * DEGREE,
};

const CALIPER: Instrument = {
  ...plain,
  name: "caliper",
  reads: ["length", "shoulder", "thickness"],
  resolution: 0.01,
  repeatability: 0.01,
};

/** Narrow strips of shim stock: a finer feeler gauge, which also fits in at toe and heel. */
const SHIM_STRIPS: Instrument = {
  ...plain,
  name: "strips of shim stock",
  reads: ["gap"],
  reach: ["toe", "heel", "widest"],
  repeatability: 0.005,
  leaves: [0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1, 0.15, 0.2, 0.3],
};

/** A borrowed instrument is worth fetching only if it is at least this many times finer than the shop's own. */
const FINER = 2;

/** A shop's instruments, and what could be read with them or with borrowed ones. */
export interface Equipment {
  /** The shop's own; a caliper reads shoulders as well, whether the job says so or not. */
  readonly instruments: readonly Instrument[];
  /** Instruments that the shop does not have: each reads something that none of its own reads, or reads it clearly more finely. */
  readonly borrowed: readonly Instrument[];
}

export function equipmentOf({ instruments }: Pick<Job, "instruments">): Equipment {
  const own = instruments.map((instrument) =>
    instrument.reads.includes("length") && !instrument.reads.includes("shoulder")
      ? { ...instrument, reads: [...instrument.reads, "shoulder" as const] }
      : instrument,
  );
  const taken = new Set(own.map(({ name }) => name));
  const borrowed = [ANGLE_BOX, CALIPER, SHIM_STRIPS].flatMap((one): Instrument[] => {
    const rivalled = (what: ReadQuantity): boolean =>
      own.some(
        (rival) =>
          rival.reads.includes(what) &&
          (what !== "gap" || one.reach.every((place) => rival.reach.includes(place))) &&
          fineness(rival) <= FINER * fineness(one),
      );
    const reads = one.reads.filter((what) => !rivalled(what));
    return taken.has(one.name) || reads.length === 0 ? [] : [{ ...one, reads }];
  });
  return { instruments: own, borrowed };
}

/** The smallest difference that an instrument resolves, mm or rad: its thinnest leaf, or its step and repeatability combined. */
const fineness = ({ leaves, resolution, repeatability }: Instrument): number =>
  leaves[0] ?? Math.hypot((resolution ?? 0) / Math.sqrt(12), repeatability);
