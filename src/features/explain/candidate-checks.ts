import { isUserError } from "../../core/errors.js";
import { normalCdf } from "../../core/numeric/normal.js";
import { type BenchName, benchNames } from "../../model/cell/benches.js";
import { type Cell, PANEL_SIDES } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { faceName } from "../../model/cell/face-id.js";
import type { Job } from "../../model/job/job.js";
import { jobBench } from "../../model/job/job-cell.js";
import { type Instrument, isAngleReading, type Reading, type ReadingBench } from "../../model/readings.js";
import { jigsUsed, type SetUp } from "../../model/shop.js";

/** Checks of one set-up on one bench, which are all read on the same trial pieces. */
export interface CheckGroup {
  readonly bench: ReadingBench;
  readonly setUp: SetUp | null;
  /** Whether the jigs themselves are measured instead of a piece. */
  readonly ofJigs?: boolean;
  readonly checks: readonly Check[];
}

/** The cuts that a bench is suitable for. A ring takes four or eight pieces and is left out, because every other check is less work. */
const FOR_ROLE: Readonly<Partial<Record<BenchName, readonly string[]>>> = {
  reversal: ["point"],
  ring: [],
  straightedge: ["mitre", "seat"],
  "mitre-pair": ["mitre"],
};
/** A corner takes every point with two equal cuts, including points that meet at a centre. */
const FOR_CORNER = ["point", "mitre"];

/** Every reading that the job's jigs, benches and instruments allow, on new trial pieces, on new pieces by themselves, and on the jigs. */
export function candidateChecks(job: Job, cell: Cell): CheckGroup[] {
  return [
    { bench: "none", setUp: null, checks: pieceChecks(job, cell) },
    { bench: "none", setUp: null, ofJigs: true, checks: rampChecks(job) },
    ...job.setUps.flatMap((setUp) => [...angleGroups(job, cell, setUp), ...benchGroups(job, cell, setUp)]),
  ];
}

function gapChecks(
  instruments: readonly Instrument[],
  { joints, depth }: Cell,
  bench: Check["bench"],
  setUp: string | null,
): Check[] {
  // A joint read at its wider side does not identify the sign of a ramp's lean.
  const sides = depth === undefined ? [{}] : [{}, ...PANEL_SIDES.map((side) => ({ side }))];
  return instruments
    .filter(({ reads }) => reads.includes("gap"))
    .flatMap(({ name, reach }) =>
      joints.flatMap((joint) =>
        reach.flatMap((at) =>
          sides.map((side) => ({
            setUp,
            bench,
            what: "gap" as const,
            subject: joint.name,
            at,
            instrument: name,
            ...side,
          })),
        ),
      ),
    );
}

const cutsOf = ({ pieces }: Cell, { cuts }: SetUp) =>
  pieces.flatMap((piece) =>
    piece.cuts.filter(({ group }) => cuts.includes(group)).map((cut) => ({ piece, cut })),
  );

/** Length, shoulder lengths and thickness of one piece of each kind. */
function pieceChecks({ instruments }: Job, { pieces }: Cell): Check[] {
  const kinds = pieces.filter(({ kind }, i) => pieces.findIndex((piece) => piece.kind === kind) === i);
  return instruments.flatMap(({ name: instrument, reads }) =>
    kinds.flatMap(({ name }) =>
      reads.flatMap((what): Check[] => {
        if (what === "gap" || isAngleReading(what)) return [];
        const sides = (["left", "right"] as const).map((face) => faceName({ owner: name, face }));
        const subjects = what === "shoulder" ? sides : [name];
        return subjects.map((subject) => ({
          setUp: null,
          bench: "none",
          what,
          subject,
          at: null,
          instrument,
        }));
      }),
    ),
  );
}

/** The angle of each ramp, read on the jig. */
function rampChecks(job: Job): Check[] {
  return job.instruments
    .filter(({ reads }) => reads.includes("ramp"))
    .flatMap(({ name: instrument }) =>
      jigsUsed(job).map(
        (subject): Check => ({
          setUp: null,
          bench: "none",
          what: "ramp",
          subject,
          at: null,
          instrument,
        }),
      ),
    );
}

/** The angle of a set-up's first cut. */
function angleGroups({ instruments }: Job, cell: Cell, setUp: SetUp): CheckGroup[] {
  const [first] = cutsOf(cell, setUp);
  if (!first) return [];
  const { face } = first.cut;
  const checks = instruments
    .filter(({ reads }) => reads.includes("angle"))
    .map(({ name: instrument }): Check => {
      return { setUp: setUp.name, bench: "none", what: "angle", subject: face, at: null, instrument };
    });
  return checks.length > 0 ? [{ bench: "none", setUp, checks }] : [];
}

function benchGroups(job: Job, cell: Cell, setUp: SetUp): CheckGroup[] {
  const roles = new Set(cutsOf(cell, setUp).map(({ cut }) => cut.role));
  return benchNames(job.arrangement)
    .filter((bench) => (FOR_ROLE[bench] ?? FOR_CORNER).some((role) => roles.has(role as "point")))
    .flatMap((bench): CheckGroup[] => {
      const made = buildable(() => compileCell(jobBench(job, bench, setUp)));
      return made ? [{ bench, setUp, checks: gapChecks(job.instruments, made, bench, setUp.name) }] : [];
    });
}

/** `null` for a jig whose angle does not suit the bench. */
function buildable(build: () => Cell): Cell | null {
  try {
    return build();
  } catch (error) {
    if (isUserError(error, "cell")) return null;
    throw error;
  }
}

/** A reading that could be taken next: on a fresh trial piece, on a piece measured alone, or again in the same cell; for a joint whose ramp may lean, also at one side only. */
export type Check = Pick<Reading, "setUp" | "bench" | "what" | "subject" | "at" | "side" | "instrument">;

/** Prediction of a check under a hypothesis: 5 %, 50 % and 95 % quantiles of the reading, mm or rad. */
export type Foreseen = readonly [low: number, middle: number, high: number];

/** A check evaluated for two hypotheses. */
export interface WeighedCheck {
  readonly check: Check;
  /** Expected information about which of the two is true, if they are equally likely: 0 to 1 bit. */
  readonly bits: number;
  /** Probability that the hypothesis favoured by the reading is the true one, if they are equally likely: ½ to 1. */
  readonly right: number;
  readonly foreseen: readonly [first: Foreseen, second: Foreseen];
}

/** Repeatability assumed for an instrument that states none, mm or rad. */
const LEAST_SCATTER = 1e-6;
/** Maximum number of steps into which a value is divided: finer steps give no more information. */
const MOST_STEPS = 200;
const REACH = 4;

/**
 * Expected information, bits, that one reading gives about which of two hypotheses is true: Σ over outcomes of the mutual information
 * (T. M. Cover and J. A. Thomas, Elements of Information Theory, 2nd ed. 2006, eq. 2.28). Outcomes are the intervals between an instrument's leaves, or its steps.
 *
 * @param first predictions under the first hypothesis, without the instrument's noise, as equally likely draws; `second` likewise.
 * @param share probability of the first, 0 to 1; default ½.
 */
export function informationBetween(
  instrument: ReadBy,
  first: Float64Array,
  second: Float64Array,
  share = 0.5,
): number {
  let bits = 0;
  for (const [p, q] of outcomesOf(instrument, first, second)) {
    const either = share * p + (1 - share) * q;
    if (p > 0) bits += share * p * Math.log2(p / either);
    if (q > 0) bits += (1 - share) * q * Math.log2(q / either);
  }
  return Math.max(0, bits);
}

/** Probability that the hypothesis favoured by the reading is the true one, for two hypotheses that are equally likely beforehand: ½·Σ over outcomes of the larger of their probabilities. */
export const chanceRight = (instrument: ReadBy, first: Float64Array, second: Float64Array): number =>
  outcomesOf(instrument, first, second).reduce((sum, [p, q]) => sum + Math.max(p, q) / 2, 0);

type ReadBy = Pick<Instrument, "leaves" | "resolution" | "repeatability">;

/** Probability of every outcome of a reading under either hypothesis. */
function outcomesOf(
  instrument: ReadBy,
  first: Float64Array,
  second: Float64Array,
): (readonly [number, number])[] {
  const scatter = Math.max(instrument.repeatability, LEAST_SCATTER);
  const edges = outcomeEdges(instrument, [...first, ...second], scatter);
  const a = outcomes(first, edges, scatter);
  const b = outcomes(second, edges, scatter);
  return Array.from(a, (p, k) => [p, b[k] ?? 0] as const);
}

function outcomeEdges({ leaves, resolution }: ReadBy, values: readonly number[], scatter: number): number[] {
  if (leaves.length > 0) return [...leaves];
  const low = Math.min(...values) - REACH * scatter;
  const high = Math.max(...values) + REACH * scatter;
  const step = Math.max(resolution ?? 0, (high - low) / MOST_STEPS);
  const from = Math.floor(low / step);
  return Array.from({ length: Math.ceil(high / step) - from + 1 }, (_, i) => (from + i + 0.5) * step);
}

/** Probability of each interval between the edges and beyond both ends. */
function outcomes(values: Float64Array, edges: readonly number[], scatter: number): Float64Array {
  const below = Float64Array.from(edges, (edge) => {
    let sum = 0;
    for (const value of values) sum += normalCdf((edge - value) / scatter);
    return sum / values.length;
  });
  return Float64Array.from({ length: edges.length + 1 }, (_, k) => (below[k] ?? 1) - (below[k - 1] ?? 0));
}
