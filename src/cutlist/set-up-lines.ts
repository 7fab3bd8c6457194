import { cellOf } from "../calibrate/specimen.js";
import { setUpByGroup } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import type { CutLine } from "./cut-list.js";

/** Cuts made at one set-up. */
export interface SetUpLine {
  readonly setUp: string;
  readonly jig: string;
  /** Angle on the label, rad from a square cut. */
  readonly ramp: number;
  readonly group: string;
  readonly piece: string;
  /** From the piece's other tip to where the cut crosses its middle line, mm; `null` for an end cut to a mark. */
  readonly setting: number | null;
  /** Pieces, and passes over the jig: a point takes two. */
  readonly pieces: number;
  readonly passes: number;
}

/** What each set-up of a job makes of the pieces. */
export function setUpLines(job: Job, lines: readonly CutLine[]): SetUpLine[] {
  const { pieces } = cellOf(job);
  return job.setUps.flatMap((setUp) =>
    setUp.cuts.flatMap((group): SetUpLine[] => {
      const piece = pieces.find(({ cuts }) => cuts.some((cut) => cut.group === group));
      const jig = job.jigs.find(({ name }) => name === setUp.jig);
      const line = lines.find(({ name }) => name === piece?.kind);
      if (!piece || !jig || !line) return [];
      const cuts = piece.cuts.filter((cut) => cut.group === group);
      const count = line.needed + line.spares;
      return [
        {
          ...{ setUp: setUp.name, jig: jig.name, ramp: jig.ramp, group, piece: piece.kind },
          setting: setUp.stop === null ? null : piece.length / 2 + cuts[0]!.reach,
          ...{ pieces: count, passes: count * cuts.length },
        },
      ];
    }),
  );
}

/** The set-ups that make groups of cuts; empty where the job has none for them. */
export function setUpsFor(job: Job, groups: readonly string[]): string[] {
  const setUpOf = setUpByGroup({ jigs: job.jigs, setUps: job.setUps, batchThickness: 0 });
  const { pieces } = cellOf(job);
  const cuts = pieces.flatMap((piece) => piece.cuts);
  return [
    ...new Set(
      groups.flatMap((group) => {
        const cut = cuts.find((one) => one.group === group);
        return (cut && setUpOf(cut)?.name) ?? [];
      }),
    ),
  ];
}
