import { at } from "../../core/numeric/dense.js";
import type { Cut, Piece } from "../../model/cell/arrangement.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import { type Fence, type Jig, jigOf, jigsUsed } from "../../model/shop.js";
import type { EitherWay, NeededAccuracy } from "./needed-accuracy.js";

// One way to build a jig, common practice, no source: a bed with a groove for the strip, a wedge that stands on the bed over the groove and guides the blade, and a stick in the groove as stop.

/** The stop of one set-up on a jig; lengths mm. */
export interface StopPlan {
  readonly setUp: string;
  /** The cut made there, and the piece that it is made on. */
  readonly cut: Cut;
  readonly piece: Piece;
  /** From the stop's face, where the piece's tip lies, to where the cut crosses the strip's middle line. */
  readonly setting: number;
  /** From the stop's face to the ramp's toe, along the top of the bed; below 0 where the toe lies behind the stop's face. */
  readonly toToe: number;
  /** Length of the stick between the groove's end and the piece's tip. */
  readonly stick: number;
  /** Least step of the stop; `null` where it is locked. */
  readonly step: number | null;
  /** How much longer (`more`) or shorter it may be off by itself. */
  readonly accuracy: EitherWay;
}

/** A jig with the sizes to make it from; lengths mm, angles rad. */
export interface JigPlan {
  readonly name: string;
  /** From a square cut, as on the label; and from the bed through the wood of the wedge. */
  readonly ramp: number;
  readonly fromBed: number;
  readonly fence: Fence;
  readonly strip: number;
  /** Depth of the strips through the panel; `null` where the job does not say. */
  readonly depth: number | null;
  readonly wedge: {
    /** Length along the bed. */
    readonly length: number;
    /** Height of the guiding face, how far it goes along the strip over that height, and its length. */
    readonly rise: number;
    readonly run: number;
    readonly face: number;
    /** Length of the upper edge. */
    readonly top: number;
    /** Whether the face overhangs: the fence bears on the short side of the bevel. */
    readonly overhangs: boolean;
  };
  /** Between the two feet of the wedge, where the screw holds it at one and a leaf goes in at the other; `null` for a locked ramp. */
  readonly feet: number | null;
  /** Length of each foot along the bed. */
  readonly foot: number;
  /** What each leaf turns the ramp by, rad. */
  readonly leaves: readonly { readonly leaf: number; readonly turn: number }[];
  readonly bed: {
    /** From the groove's end, where the sticks lie, to where the face crosses the strip's middle line; of a jig with stops. */
    readonly grooveToCut: number;
    readonly width: number;
    /** Under the groove. */
    readonly thickness: number;
    readonly groove: number;
    /** `null` where the job gives no depth. */
    readonly grooveWidth: number | null;
    /** How much lower than the bed the strip lies. */
    readonly clearance: number;
    /** How far the end of the bed stands back behind the ramp's face. */
    readonly setBack: number;
  };
  /** From the cut's crossing of the middle line to the ramp's toe, along the strip: below 0 towards the stop. */
  readonly toe: number;
  readonly stops: readonly StopPlan[];
  /** Set-ups whose ends are cut to a mark. */
  readonly toAMark: readonly string[];
  /** How much sharper (`more`) or blunter the ramp may be by itself, rad. */
  readonly accuracy: EitherWay;
  /** What that is on the run over the rise, and at the leaf over the feet, mm; `null` where the angle does not matter, or the ramp is locked. */
  readonly runAccuracy: number | null;
  readonly leafAccuracy: number | null;
}

/** Sizes that are free to choose, mm. Our own, no source. */
export const JIG_SIZES = {
  mm: {
    step: 5,
    rise: 40,
    least: 10,
    locked: 80,
    foot: 10,
    clearance: 0.5,
    slide: 0.1,
    width: 60,
    thickness: 18,
    setBack: 1,
    spare: 30,
    overhang: 60,
  },
  in: {
    step: 25.4 / 4,
    rise: 25.4 * 1.5,
    least: 25.4 * 0.375,
    locked: 25.4 * 3,
    foot: 25.4 * 0.375,
    clearance: 25.4 / 64,
    slide: 0.0254 * 4,
    width: 25.4 * 2.5,
    thickness: 25.4 * 0.75,
    setBack: 25.4 / 32,
    spare: 25.4 * 1.25,
    overhang: 25.4 * 2.5,
  },
} as const;

/** Lengths count as equal within this, mm. */
const SAME = 1e-9;

/** Every jig of a job that cuts something, with the sizes to make it from. */
export const jigPlans = (job: Job, needed: NeededAccuracy): JigPlan[] =>
  jigsUsed(job).flatMap((name) =>
    job.jigs.filter((jig) => jig.name === name).map((jig) => jigPlan(job, jig, needed)),
  );

function jigPlan(job: Job, jig: Jig, needed: NeededAccuracy): JigPlan {
  const { strip, units, depth } = job;
  const sizes = JIG_SIZES[units];
  const { ramp, fence } = jig;
  const overhangs = fence === "short-side";
  const wedge = wedgeOf(jig, units);
  // Heights are counted from the groove's floor; the crossing lies half a strip above it.
  const groove = strip + sizes.clearance;
  const toe = (overhangs ? 1 : -1) * (groove - strip / 2) * Math.tan(ramp);
  const cuts = stopsOn(job, jig);
  const reach = Math.max(0, ...cuts.map(({ setting }) => setting));
  const grooveToCut = up(
    Math.max(reach, wedge.length - Math.min(0, toe) - sizes.spare) + sizes.spare,
    sizes.step,
  );
  const accuracy = needed.ramps.get(jig.name) ?? { more: null, less: null };
  const either = smaller(accuracy);
  const feet = jig.shims?.base ?? null;
  return {
    name: jig.name,
    ramp,
    fromBed: Math.PI / 2 + (overhangs ? ramp : -ramp),
    fence,
    strip,
    depth: depth ?? null,
    wedge,
    feet,
    foot: sizes.foot,
    leaves: (jig.shims?.leaves ?? []).map((leaf) => ({
      leaf,
      turn: Math.atan(leaf / (jig.shims?.base ?? 1)),
    })),
    bed: {
      grooveToCut,
      width: bedWidth(depth, sizes),
      thickness: sizes.thickness,
      groove,
      grooveWidth: depth === undefined ? null : depth + sizes.slide,
      clearance: sizes.clearance,
      setBack: sizes.setBack,
    },
    toe,
    stops: cuts.map(({ setUp, stop, ...rest }) => ({
      ...rest,
      setUp,
      toToe: rest.setting + toe,
      stick: grooveToCut - rest.setting,
      step: stop.step,
      accuracy: needed.stops.get(setUp) ?? { more: null, less: null },
    })),
    toAMark: job.setUps
      .filter((setUp) => setUp.jig === jig.name && setUp.stop === null)
      .map(({ name }) => name),
    accuracy,
    // d(rise · tan J) = rise / cos² J · dJ.
    runAccuracy: either === null ? null : (wedge.rise / Math.cos(ramp) ** 2) * either,
    leafAccuracy: either === null || feet === null ? null : feet * Math.tan(either),
  };
}

function bedWidth(
  depth: number | undefined,
  { width, step }: { readonly width: number; readonly step: number },
) {
  return depth === undefined ? width : Math.max(width, up(3 * depth, step));
}

/** The wedge: long enough for its feet, and so high that its upper edge does not come to nothing. */
function wedgeOf({ ramp, fence, shims }: Jig, units: Job["units"]): JigPlan["wedge"] {
  const sizes = JIG_SIZES[units];
  const tan = Math.tan(ramp);
  const overhangs = fence === "short-side";
  const feet = shims === null ? sizes.locked : shims.base + sizes.foot;
  // A face at least `least` high must have room above the bed.
  const length = overhangs ? feet : Math.max(feet, up(sizes.least * (tan + 1), sizes.step));
  const most = overhangs ? sizes.overhang : length - sizes.least;
  const rise = Math.min(
    sizes.rise,
    tan * sizes.rise > most ? down(most / tan, sizes.step, sizes.least) : sizes.rise,
  );
  const run = rise * tan;
  return {
    length,
    rise,
    run,
    face: rise / Math.cos(ramp),
    overhangs,
    top: overhangs ? length + run : length - run,
  };
}

/** Up to the next whole step; what lies on one stays. */
const up = (mm: number, step: number): number => Math.ceil(mm / step - SAME) * step;

/** Down to a whole step, at least to `least` or to the length itself. */
const down = (mm: number, step: number, least: number): number =>
  Math.max(Math.floor(mm / step + SAME) * step, Math.min(mm, least));

/** The smaller of both ways; `null` where neither matters. */
export function smaller({ more, less }: EitherWay): number | null {
  if (more === null || less === null) return more ?? less;
  return Math.min(more, less);
}

/** The stops on a jig with each group of cuts made there. */
function stopsOn(job: Job, jig: Jig) {
  const { pieces } = jobCell(job);
  return job.setUps.flatMap((setUp) => {
    const { stop } = setUp;
    if (stop === null || jigOf(job, setUp) !== jig) return [];
    return setUp.cuts.flatMap((group) => {
      const piece = pieces.find(({ cuts }) => cuts.some((cut) => cut.group === group));
      const cut = piece?.cuts.find((one) => one.group === group);
      if (!piece || !cut) return [];
      return [{ setUp: setUp.name, stop, piece, cut, setting: piece.length / 2 + cut.reach }];
    });
  });
}

/** The longest setting first. */
export const longestStop = ({ stops }: JigPlan): StopPlan | null =>
  stops.length === 0
    ? null
    : at(
        [...stops].sort((a, b) => b.setting - a.setting),
        0,
      );
