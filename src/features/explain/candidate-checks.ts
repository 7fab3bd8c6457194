import { isUserError } from "../../core/errors.js";
import { normalCdf } from "../../core/numeric/normal.js";
import { type BenchName, benchNames } from "../../model/cell/benches.js";
import { type Cell, PANEL_SIDES } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import type { Job } from "../../model/job/job.js";
import { jobBench } from "../../model/job/job-cell.js";
import type { Instrument, Reading } from "../../model/readings.js";
import type { SetUp } from "../../model/shop.js";

/** Checks of one set-up on one bench are read off the same trial pieces. */
export interface CheckGroup {
  readonly bench: BenchName | "none" | "cell";
  readonly setUp: SetUp | null;
  readonly checks: readonly Check[];
}

/** Which cuts a bench is for. A ring takes four or eight pieces and is left out: every other check is less work. */
const FOR_ROLE: Readonly<Partial<Record<BenchName, readonly string[]>>> = {
  reversal: ["point"],
  ring: [],
  straightedge: ["mitre", "seat"],
  "mitre-pair": ["mitre"],
};
/** A corner takes every point of two equal cuts, those that meet at a centre too. */
const FOR_CORNER = ["point", "mitre"];

/** Every reading that the job's jigs, benches and instruments allow, and of the same cell all gaps at every place that an instrument reaches. */
export function candidateChecks(job: Job, cell: Cell): CheckGroup[] {
  return [
    { bench: "cell", setUp: null, checks: gapChecks(job.instruments, cell, "cell", null) },
    { bench: "none", setUp: null, checks: pieceChecks(job, cell) },
    ...job.setUps.flatMap((setUp) => [...angleGroups(job, cell, setUp), ...benchGroups(job, cell, setUp)]),
  ];
}

function gapChecks(
  instruments: readonly Instrument[],
  { joints, depth }: Cell,
  bench: Check["bench"],
  setUp: string | null,
): Check[] {
  // Read at its wider side a joint does not tell which way a ramp leans.
  const sides = depth === undefined ? [{}] : [{}, ...PANEL_SIDES.map((side) => ({ side }))];
  return instruments
    .filter(({ reads }) => reads.includes("gap"))
    .flatMap(({ name, reach }) =>
      joints.flatMap((joint) =>
        reach.flatMap((at) =>
          sides.map((side) => ({
            ...{ setUp, bench, what: "gap" as const, subject: joint.name, at, instrument: name },
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

/** Length and thickness of one piece of each kind. */
function pieceChecks({ instruments }: Job, { pieces }: Cell): Check[] {
  const kinds = pieces.filter(({ kind }, i) => pieces.findIndex((piece) => piece.kind === kind) === i);
  return instruments.flatMap(({ name: instrument, reads }) =>
    kinds.flatMap(({ name: subject }) =>
      reads.flatMap((what): Check[] =>
        what === "gap" || what === "angle"
          ? []
          : [{ setUp: null, bench: "none", what, subject, at: null, instrument }],
      ),
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

/** A reading that could be taken next: on a fresh trial piece, of a piece measured alone, or again in the same cell; of a joint that a leaning ramp may cut, also at one side. */
export type Check = Pick<Reading, "setUp" | "bench" | "what" | "subject" | "at" | "side" | "instrument">;

/** What a check would show under a hypothesis: 5 %, 50 % and 95 % points of the reading, mm or rad. */
export type Foreseen = readonly [low: number, middle: number, high: number];

/** A check weighed between two hypotheses. */
export interface WeighedCheck {
  readonly check: Check;
  /** Expected information about which of the two it is, were they equally likely: 0 to 1 bit. */
  readonly bits: number;
  /** Chance that the one more likely after the reading is the true one, were they equally likely: ½ to 1. */
  readonly right: number;
  readonly foreseen: readonly [first: Foreseen, second: Foreseen];
}

/** An instrument with nothing stated repeats no better than this, mm or rad. */
const LEAST_SCATTER = 1e-6;
/** A value is told apart in at most this many steps: finer ones tell no more. */
const MOST_STEPS = 200;
const REACH = 4;

/**
 * Expected information, bits, that one reading gives about which of two hypotheses is true: Σ over outcomes of the mutual information
 * (T. M. Cover and J. A. Thomas, Elements of Information Theory, 2nd ed. 2006, eq. 2.28). Outcomes are the stretches between an instrument's leaves, or its steps.
 *
 * @param first what it would show under the first hypothesis, before the instrument's scatter, as equally likely draws; `second` likewise.
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

/** Chance that the more likely of two equally likely hypotheses after the reading is the true one: Σ over outcomes of the larger of their probabilities. */
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

/** Probability of each stretch between the edges and beyond both ends. */
function outcomes(values: Float64Array, edges: readonly number[], scatter: number): Float64Array {
  const below = Float64Array.from(edges, (edge) => {
    let sum = 0;
    for (const value of values) sum += normalCdf((edge - value) / scatter);
    return sum / values.length;
  });
  return Float64Array.from({ length: edges.length + 1 }, (_, k) => (below[k] ?? 1) - (below[k - 1] ?? 0));
}
