import { at } from "../../core/numeric/dense.js";
import { play, playCell, type Trims } from "./play-cell.js";
import { type PlayJob, type Slider, sizeOf, slidersOf } from "./play-job.js";

/** A cell to be closed with one move: what is off, which its sliders do not show. */
export interface Challenge {
  readonly title: string;
  readonly asks: string;
  /** What is off in each slider, degrees or mm, in their order. */
  readonly faults: readonly number[];
}

/** Whether a slider is a move on a jig, and not the stock or the grid. */
export const isMove = ({ group }: Pick<Slider, "group">): boolean => group === "Ramps" || group === "Stops";

/** Sizes that are tried for a fault: degrees and mm. */
const RAMPS = [1, 1.5, 2] as const;
const STOPS = [0.15, 0.25, 0.4] as const;
/** A fault is plain to see when its cell is off by so many times the limits. */
const PLAIN = 1.5;

/**
 * Three cells that one move closes, made with the model itself: a ramp that is off, a stop that is off, and two errors that are too much only together. Fewer where
 * a job has no such fault.
 */
export function challengesOf(job: PlayJob): Challenge[] {
  const cell = playCell(job);
  const sliders = slidersOf(job);
  const cases: Case[] = sliders.map((slider) => ({ slider, sizes: sizesOf(slider) }));
  const faultsOf = (...given: readonly Fault[]): number[] =>
    sliders.map((slider) => given.find((fault) => fault.slider === slider)?.value ?? 0);
  /** Widest gap or deepest press as a multiple of its limit. */
  const offBy = (...given: readonly Fault[]): number => {
    const sizes = faultsOf(...given).map((value, i) => sizeOf(at(sliders, i), value));
    const { widestGap, deepestPress } = play(cell, sizes).prediction;
    return Math.max(widestGap / job.limits.gap, deepestPress / job.limits.snug);
  };
  const first = (measure: Slider["measure"]): Fault | undefined =>
    cases
      .filter(({ slider }) => isMove(slider) && slider.measure === measure)
      .flatMap(({ slider, sizes }) => sizes.map((value): Fault => ({ slider, value })))
      // The sharpest ramp and the last stop: not what stands first on the page.
      .toReversed()
      .find((fault) => offBy(fault) > PLAIN);
  const ramp = first("angle");
  const stop = first("length");
  const both = together(
    sliders.filter((slider) => isMove(slider)),
    offBy,
  );
  return [
    ...(ramp
      ? [
          {
            title: "1: one ramp",
            asks: "One ramp is off, and its slider does not show it.",
            faults: faultsOf(ramp),
          },
        ]
      : []),
    ...(stop
      ? [
          {
            title: "2: one stop",
            asks: "One stop is off, and its slider does not show it.",
            faults: faultsOf(stop),
          },
        ]
      : []),
    ...(both
      ? [
          {
            title: "3: two at once",
            asks: "Two things are off. Either alone would still let the cell close; together they are too much.",
            faults: faultsOf(...both),
          },
        ]
      : []),
  ];
}

interface Fault {
  readonly slider: Slider;
  readonly value: number;
}
interface Case {
  readonly slider: Slider;
  readonly sizes: readonly number[];
}

const sizesOf = ({ measure }: Slider): number[] =>
  (measure === "angle" ? RAMPS : STOPS).flatMap((size) => [size, -size]).toReversed();

/** Two faults, each in whole steps, that close the cell singly and not together, of a ramp and a stop where there are such; `null` where there are none. */
function together(
  moves: readonly Slider[],
  offBy: (...faults: readonly Fault[]) => number,
): [Fault, Fault] | null {
  const largest = moves.flatMap((slider) => [1, -1].map((sign) => largestFault(slider, sign, offBy)));
  const pairs = largest.flatMap((a, i) =>
    largest.slice(i + 1).flatMap((b): [Fault, Fault][] => (a.slider === b.slider ? [] : [[a, b]])),
  );
  const mixed = ([a, b]: [Fault, Fault]): boolean => a.slider.measure !== b.slider.measure;
  return (
    [...pairs.filter(mixed), ...pairs.filter((pair) => !mixed(pair))].find(
      ([a, b]) => Math.max(offBy(a), offBy(b)) < 1 && offBy(a, b) > PLAINLY_OVER,
    ) ?? null
  );
}

/** The largest fault of a sign, in whole steps of its slider, that leaves the cell well within its limits. */
function largestFault(slider: Slider, sign: number, offBy: (...faults: readonly Fault[]) => number): Fault {
  const fault = (k: number): Fault => ({ slider, value: sign * Number((k * slider.step).toFixed(6)) });
  let [within, beyond] = [1, Math.round(slider.most / slider.step) + 1];
  while (beyond - within > 1) {
    const k = Math.floor((within + beyond) / 2);
    if (offBy(fault(k)) <= WELL_WITHIN) within = k;
    else beyond = k;
  }
  return fault(within);
}

/** The pair together is this far beyond them. */
const PLAINLY_OVER = 1.1;

/** A single fault of the pair stays this far within the limits. */
const WELL_WITHIN = 0.9;

/** How a challenge stands: what was moved, and whether it is won. */
export interface Standing {
  readonly moved: readonly Slider[];
  readonly closes: boolean;
  readonly won: boolean;
}

/** Whether a challenge is won: the cell closes, one ramp or stop was moved, and nothing was trimmed or taken for granted. */
export function standingOf(
  sliders: readonly Slider[],
  values: readonly number[],
  trims: Trims,
  closed: boolean,
): Standing {
  const moved = sliders.filter((_, i) => at(values, i) !== 0);
  const trimmed = Object.values(trims).some((mm) => mm > 0);
  return { moved, closes: closed, won: closed && !trimmed && moved.length === 1 && moved.every(isMove) };
}

/** The sizes of all sliders with a challenge's faults in them, rad or mm. */
export const sizesWith = (
  sliders: readonly Slider[],
  values: readonly number[],
  challenge: Pick<Challenge, "faults"> | null,
): number[] =>
  sliders.map((slider, i) => sizeOf(slider, at(values, i) + (challenge ? at(challenge.faults, i) : 0)));
