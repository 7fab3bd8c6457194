import type { Cut } from "./cell/arrangement.js";
import type { SourceId } from "./source-id.js";

/** Where a jig's fence bears on the strip, which decides how thick stock changes the cut. */
export const FENCES = ["centred", "long-side", "short-side"] as const;
/** Where a jig's fence bears on the strip; see {@link FENCES}. */
export type Fence = (typeof FENCES)[number];

/** A leaf pushed between ramp and bed at one end turns the ramp by atan(leaf / base). */
export interface ShimSet {
  /** Distance from the ramp's fixed end to where a shim goes in, mm. */
  readonly base: number;
  /** Available leaves, mm, ascending. */
  readonly leaves: readonly number[];
}

/** The angle λ (rad) by which a ramp is out of square to its bed: at the distance z from mid-depth its cuts are z·λ further out. λ > 0 is outward at the front. */
export interface Lean {
  /** Prior mean of the lean, rad; 0 when nothing is known. */
  readonly priorMean: number;
  /** Prior standard deviation, rad; 0 when the lean is known. */
  readonly priorSd: number;
  /** Whether the strip is rolled over about its length for cuts that face its right side: their lean is then −λ. */
  readonly rolled: boolean;
}

/** A jig that cuts at one angle: its ramp and fence, the priors of its errors, and how it is adjusted. */
export interface Jig {
  readonly name: string;
  /** Angle on its label, rad from a square cut. */
  readonly ramp: number;
  readonly fence: Fence;
  /** Prior standard deviation of the ramp's error, rad. */
  readonly priorSd: number;
  /** Prior mean of the ramp's error from a record of earlier jobs, rad, positive for a sharper cut; default 0. */
  readonly priorMean?: number;
  /** How the ramp is adjusted; `null` when it is locked. */
  readonly shims: ShimSet | null;
  /** Only for strips with a depth; if left out, the ramp is square to its bed. */
  readonly lean?: Lean;
}

/** How a piece's length is set at one set-up. */
export interface Stop {
  /** Prior standard deviation of its error, mm. */
  readonly priorSd: number;
  /** Prior mean of its error from a record of earlier jobs, mm, longer +; default 0. */
  readonly priorMean?: number;
  /** Smallest step by which it can be moved, mm; `null` when it is locked. */
  readonly step: number | null;
}

/** A set-up: cuts made on one jig at one stop. */
export interface SetUp {
  readonly name: string;
  readonly jig: string;
  /** Groups of cuts as the pattern names them: `hinge.seat`. */
  readonly cuts: readonly string[];
  /** `null` for the first end of a piece, which is cut to a mark and sets no length. */
  readonly stop: Stop | null;
}

/** A change made on purpose between two rounds of trials: a shim put in, a stop moved by a measured amount. */
export interface KnownMove {
  /** The ramp or stop it changes. */
  readonly source: SourceId;
  /** rad (sharper +) or mm (longer +). */
  readonly by: number;
  /** Standard deviation of the actual move about the intended one, rad or mm. */
  readonly priorSd: number;
}

/** Trials cut after certain known moves; a round includes the moves of all earlier rounds. */
export interface Round {
  readonly name: string;
  readonly moves: readonly KnownMove[];
}

/** How well a bench's reference is known. */
export interface Reference {
  readonly bench: string;
  /** Standard deviation of its angle, rad. */
  readonly priorSd: number;
}

/** The bias of an instrument that reads gaps: a leaf pushes loose pieces apart. */
export interface InstrumentBias {
  readonly instrument: string;
  /** mm or rad, positive when it reads too much. */
  readonly bias: number;
  readonly priorSd: number;
  /** Whether the instrument reads angles. */
  readonly angular: boolean;
}

/** The jigs and set-ups that cut a pattern's pieces, and how the stock varies about its nominal thickness. */
export interface Shop {
  readonly jigs: readonly Jig[];
  readonly setUps: readonly SetUp[];
  /** Standard deviation of the batch's thickness about the nominal, mm. */
  readonly batchThickness: number;
  /** In the order they were cut; trials before the first known move belong to no round. */
  readonly rounds?: readonly Round[];
  readonly references?: readonly Reference[];
  readonly biases: readonly InstrumentBias[];
}

type Jigs = Pick<Shop, "jigs">;
type SetUps = Pick<Shop, "setUps">;

/**
 * The jig with this name.
 *
 * @throws RangeError when the shop has none
 */
export function jigNamed({ jigs }: Jigs, wanted: string): Jig {
  const jig = jigs.find(({ name }) => name === wanted);
  if (!jig) throw new RangeError(`There is no jig "${wanted}" in this shop.`);
  return jig;
}

/**
 * The set-up with this name.
 *
 * @throws RangeError when the shop has none
 */
export function setUpNamed({ setUps }: SetUps, wanted: string): SetUp {
  const setUp = setUps.find(({ name }) => name === wanted);
  if (!setUp) throw new RangeError(`There is no set-up "${wanted}" in this shop.`);
  return setUp;
}

/**
 * The jig that a set-up uses.
 *
 * @throws RangeError when the shop has none of that name
 */
export function jigOf({ jigs }: Jigs, setUp: SetUp): Jig {
  const jig = jigs.find(({ name }) => name === setUp.jig);
  if (!jig) throw new RangeError(`The set-up ${setUp.name} names a jig "${setUp.jig}" that does not exist.`);
  return jig;
}

/** The names of the jigs that cut something, in the shop's order. */
export const jigsUsed = ({ jigs, setUps }: Jigs & SetUps): string[] =>
  jigs.map(({ name }) => name).filter((name) => setUps.some(({ jig }) => jig === name));

/** The set-up that makes a cut of the pattern, by the cut's group; `undefined` if none does. */
export function setUpByGroup({ setUps }: SetUps): (cut: Pick<Cut, "group">) => SetUp | undefined {
  const byGroup = new Map(setUps.flatMap((setUp) => setUp.cuts.map((group) => [group, setUp])));
  return ({ group }) => byGroup.get(group);
}
