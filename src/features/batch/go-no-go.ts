import { at, rowOf, rowTimes } from "../../core/numeric/dense.js";
import { type DrawnCells, drawCells, noMoves, outcomesOf } from "../../inference/decision/drawn-cells.js";
import { type JobPosterior, jobPosterior, withScatters } from "../../inference/job-posterior.js";
import { cellSpecimen, type Specimen } from "../../inference/likelihood/specimen.js";
import type { Cell } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";

/** Sizes between which a kind of piece may lie, tip to tip, mm. */
export interface PieceSizes {
  readonly kind: string;
  readonly nominal: number;
  /** A slot of this length, mm, must refuse the piece: it is too short when it goes in. */
  readonly noGo: number;
  /** A slot of this length, mm, must take the piece: it is too long when it does not. */
  readonly go: number;
  /** Size of a master piece to hold the first, middle and last against, mm: halfway between the two. */
  readonly master: number;
  /** Farthest from the master, either way, mm > 0. */
  readonly allowance: number;
}

/** Go and no-go sizes of a job, and what they rest on. */
export interface GoNoGo {
  readonly pieces: readonly PieceSizes[];
  /** Whether angles and stock are as readings have them; without readings they are right on average. */
  readonly fromReadings: boolean;
  /** Chance that a cell closes when every length is right and all else scatters as the job says. */
  readonly closesAtNominal: number;
  /** Least chance that it closes with every length somewhere between its two sizes: at the worst of their combinations. */
  readonly closesAtWorst: number;
}

/** How go and no-go sizes are worked out. `seed`: whole, ≥ 0, of every draw; default 1. */
export interface GoNoGoOptions {
  /** What is known of the angles, the stock and the scatters; default: what the job states, with every angle and the stock right on average. */
  readonly posterior?: JobPosterior;
  /** How much of the chance that a cell closes the lengths may cost; default {@link LOST_TO_LENGTHS}. */
  readonly lost?: number;
  /** Number of cells drawn, whole; default {@link GO_NO_GO_DRAWS}. */
  readonly draws?: number;
  /** Seed of every draw, whole, ≥ 0; default 1. */
  readonly seed?: number;
}

/** One cell in twenty. Common practice, no source. */
export const LOST_TO_LENGTHS = 0.05;
export const GO_NO_GO_DRAWS = 200;
/** Farthest that a length is tried from its nominal, as a share of the strip's thickness, and how finely (2⁻⁸ of it). */
const FARTHEST = 0.25;
const HALVINGS = 8;

/**
 * How long and how short each kind of piece may be so that cells still close: the same share of what each kind could miss by itself, as large as it may be with
 * every combination of long and short kinds together. Pieces are taken as cut: a gauge is of use where none is trimmed. Angles and thickness are as the readings have them, or without readings right on average; gaps in first order.
 *
 * @example
 * goNoGoSizes(job, { draws: 100 }).pieces.length // 3
 */
export function goNoGoSizes(job: Job, options: GoNoGoOptions = {}): GoNoGo {
  const { lost = LOST_TO_LENGTHS, draws = GO_NO_GO_DRAWS, seed = 1 } = options;
  // The lengths are what is gauged: they do not scatter here.
  const posterior = options.posterior ?? jobPosterior(job, [], { seed });
  const { betweenCutSd } = withScatters(job, posterior);
  const whole = cellSpecimen({ ...job, betweenCutSd: { ...betweenCutSd, length: 0 } });
  const specimen = lengthsOnly(whole);
  const kinds = kindsOf(specimen.cell);
  const k = kinds.length;
  const nothing = { estimates: new Float64Array(k), covariance: new Float64Array(k * k) };
  const drawn = drawCells({ ...job, lengths: "as-cut" }, specimen, { ...nothing, draws, seed });
  const forecast = posterior.basis.readings === 0 ? drawn : withKnownAngles(drawn, whole, posterior);
  const closes = (change: Float64Array): number => {
    const { widestGap, deepestPress } = outcomesOf(forecast, { ...noMoves(k), change });
    const { gap, snug } = job.limits;
    return (
      widestGap.reduce((n, open, i) => n + (open <= gap && at(deepestPress, i) <= snug ? 1 : 0), 0) / draws
    );
  };
  const closesAtNominal = closes(new Float64Array(k));
  const enough = closesAtNominal - lost;
  const farthest = FARTHEST * job.strip;
  const alone = kinds.map((_, i) =>
    ([-1, 1] as const).map(
      (sign) =>
        sign * largest(farthest, (size) => closes(new Float64Array(k).with(i, sign * size)) >= enough),
    ),
  );
  const corners = Array.from({ length: 2 ** k }, (_, bits) =>
    kinds.map((_, i) => at(at(alone, i), (bits >> i) & 1)),
  );
  const closesAt = (corner: readonly number[], share: number): number =>
    closes(Float64Array.from(corner, (end) => share * end));
  const share = largest(1, (tried) => corners.every((corner) => closesAt(corner, tried) >= enough));
  return {
    fromReadings: posterior.basis.readings > 0,
    closesAtNominal,
    closesAtWorst: Math.min(...corners.map((corner) => closesAt(corner, share))),
    pieces: kinds.map(({ kind, length }, i) => {
      const [noGo, go] = at(alone, i).map((end) => length + share * end) as [number, number];
      return {
        kind,
        nominal: length,
        noGo,
        go,
        master: (noGo + go) / 2,
        allowance: (go - noGo) / 2,
      };
    }),
  };
}

/** The drawn cells with the errors of a posterior beside lengths, each cell those of a shop: what the gauge does not set right. */
function withKnownAngles(
  drawn: DrawnCells,
  { matrix, known }: Specimen,
  { sources, sample, draws: shops }: JobPosterior,
): DrawnCells {
  const p = sources.length;
  const rows = known.length;
  const errors = drawn.errors.slice();
  const { entries } = errorLayout(drawn.specimen.cell);
  // A length is gauged, whatever made it: stop, thickness at a fence, or a move.
  const gauged = entries.map(({ kind }) => kind === "axial");
  const step = Math.max(1, shops / drawn.draws);
  for (let d = 0; d < drawn.draws; d++) {
    const own = rowOf(errors, d, rows);
    const shop = rowOf(sample, Math.floor(d * step) % shops, p);
    // What the known moves changed is in the specimen already, lengths taken off again.
    for (const e of own.keys())
      own[e] = at(own, e) + (gauged[e] ? -at(known, e) : rowTimes(matrix, e, p, shop));
  }
  return { ...drawn, errors };
}

/** The largest of 0 … most that passes, all smaller ones passing too. */
function largest(most: number, passes: (size: number) => boolean): number {
  if (passes(most)) return most;
  let [low, high] = [0, most];
  for (let step = 0; step < HALVINGS; step++) {
    const middle = (low + high) / 2;
    if (passes(middle)) low = middle;
    else high = middle;
  }
  return low;
}

function kindsOf({ pieces }: Cell): { kind: string; length: number }[] {
  const kinds = new Map(pieces.map(({ kind, length }) => [kind, length]));
  return [...kinds].map(([kind, length]) => ({ kind, length }));
}

/** The specimen with one shared error for each kind of piece: all cuts of its far end further out by as much. */
function lengthsOnly(specimen: Specimen): Specimen {
  const { cell } = specimen;
  const layout = errorLayout(cell);
  const kinds = kindsOf(cell);
  const matrix = new Float64Array(layout.entries.length * kinds.length);
  for (const piece of cell.pieces) {
    const column = kinds.findIndex(({ kind }) => kind === piece.kind);
    for (const { face, end } of piece.cuts)
      if (end === 1) matrix[layout.indexOf("axial", piece.name, face) * kinds.length + column] = 1;
  }
  return { ...specimen, matrix };
}
