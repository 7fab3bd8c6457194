import type { Cut } from "./cell/arrangement.js";
import type { SourceId } from "./source-id.js";

/** Where a jig's fence bears on the strip: it decides how thick stock changes the cut. */
export const FENCES = ["centred", "long-side", "short-side"] as const;
/** Where a jig's fence bears on the strip; see {@link FENCES}. */
export type Fence = (typeof FENCES)[number];

/** A leaf pushed between ramp and bed at one end turns the ramp by atan(leaf / base). */
export interface ShimSet {
  /** Distance from the ramp's fixed end to where a shim goes in, mm. */
  readonly base: number;
  /** Leaves at hand, mm, rising. */
  readonly leaves: readonly number[];
}

/** How far a ramp is out of square to its bed: at the distance z from mid-depth its cuts stand z·λ further out, λ > 0 outward at the front; rad. */
export interface Lean {
  /** Expected lean before anything was measured, rad: 0 when nothing is known. */
  readonly priorMean: number;
  /** Standard deviation about that; 0 when it is known. */
  readonly priorSd: number;
  /** Whether the strip is rolled over about its length for cuts that face its right side: their lean is then −λ. */
  readonly rolled: boolean;
}

/** A jig that cuts at one angle: its ramp and its fence, how far each is trusted, how it is adjusted. */
export interface Jig {
  readonly name: string;
  /** Angle on its label, rad from a square cut. */
  readonly ramp: number;
  readonly fence: Fence;
  /** Standard deviation of the ramp's error before anything was measured, rad. */
  readonly priorSd: number;
  /** Error of the ramp that a record of earlier jobs leads to expect, rad, steeper +; default 0. */
  readonly priorMean?: number;
  /** How the ramp is adjusted; `null` when it is locked. */
  readonly shims: ShimSet | null;
  /** Only on strips with a depth; left out, the ramp is square to its bed. */
  readonly lean?: Lean;
}

/** How a piece's length is set at one set-up. */
export interface Stop {
  /** Standard deviation of its error before anything was measured, mm. */
  readonly priorSd: number;
  /** Error that a record of earlier jobs leads to expect, mm, longer +; default 0. */
  readonly priorMean?: number;
  /** Smallest move it can be given, mm; `null` when it is locked. */
  readonly step: number | null;
}

/** Cuts made alike: on one jig, at one stop. */
export interface SetUp {
  readonly name: string;
  readonly jig: string;
  /** Groups of cuts as the pattern names them: `hinge.seat`. */
  readonly cuts: readonly string[];
  /** `null` for the first end of a piece, cut to a mark: it has no length to miss. */
  readonly stop: Stop | null;
}

/** A change made on purpose between two rounds of trials: a shim put in, a stop moved by a measured amount. */
export interface KnownMove {
  /** The ramp or stop it changes. */
  readonly source: SourceId;
  /** rad (steeper +) or mm (longer +). */
  readonly by: number;
  /** Standard deviation of what was really done about that, rad or mm. */
  readonly priorSd: number;
}

/** Trials cut after certain known moves; a round carries the moves of those before it. */
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

/** What an instrument adds to every gap it reads: a leaf pushes loose pieces apart. */
export interface InstrumentBias {
  readonly instrument: string;
  /** mm or rad, + reads too much. */
  readonly bias: number;
  readonly priorSd: number;
}

/** The jigs and set-ups that cut a pattern's pieces, and how the stock varies about its nominal thickness. */
export interface Shop {
  readonly jigs: readonly Jig[];
  readonly setUps: readonly SetUp[];
  /** Standard deviation of the batch's thickness about the nominal, mm. */
  readonly batchThickness: number;
  /** In the order they were cut; trials before any known move belong to none. */
  readonly rounds?: readonly Round[];
  readonly references?: readonly Reference[];
  readonly biases?: readonly InstrumentBias[];
}

type Jigs = Pick<Shop, "jigs">;
type SetUps = Pick<Shop, "setUps">;

/**
 * The jig of that name.
 *
 * @throws RangeError when the shop has none
 */
export function jigNamed({ jigs }: Jigs, wanted: string): Jig {
  const jig = jigs.find(({ name }) => name === wanted);
  if (!jig) throw new RangeError(`There is no jig "${wanted}" in this shop.`);
  return jig;
}

/**
 * The set-up of that name.
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

/** Which set-up makes a cut of the pattern, by the cut's group; `undefined` where none does. */
export function setUpByGroup({ setUps }: SetUps): (cut: Pick<Cut, "group">) => SetUp | undefined {
  const byGroup = new Map(setUps.flatMap((setUp) => setUp.cuts.map((group) => [group, setUp])));
  return ({ group }) => byGroup.get(group);
}
