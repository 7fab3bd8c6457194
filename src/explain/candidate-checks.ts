import type { SetUp } from "../cutting/shop.js";
import type { Job } from "../job/job.js";
import { jobBench } from "../job/job-bench.js";
import type { BenchName } from "../lattice/bench-named.js";
import { benchNames } from "../lattice/bench-names.js";
import type { Cell } from "../lattice/cell.js";
import { PANEL_SIDES } from "../lattice/cell-probes.js";
import { compileCell } from "../lattice/compile-cell.js";
import { LatticeError } from "../lattice/lattice-error.js";
import type { Instrument } from "../readings/instrument.js";
import type { Check } from "./check.js";

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
    if (error instanceof LatticeError) return null;
    throw error;
  }
}
