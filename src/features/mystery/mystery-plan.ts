import { jobCell } from "../../inference/likelihood/specimen.js";
import { patternShop, type StarterSetUp } from "../../io/patterns/pattern-shop.js";
import { cornerName } from "../../model/cell/benches.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";

type Row = Pick<Reading, "trial" | "setUp" | "bench" | "what" | "subject" | "at" | "instrument">;

/**
 * What is read of a mystery's trial cuts: two trial points of each jig that makes points, two bevels of each other jig, the pieces of two cells (two of a
 * kind at most), and every joint of one.
 */
export function mysteryPlan(job: Job): Reading[] {
  const cell = jobCell(job);
  const { jigs, setUps } = patternShop(cell);
  const isPair = ({ piece, cut }: StarterSetUp): boolean =>
    piece.cuts.filter(({ group }) => group === cut.group).length === 2;
  const points = jigs.map(({ name }) =>
    setUps.find((one) => one.jig === name && one.cut.end === -1 && isPair(one)),
  );
  const bevels = jigs.flatMap(({ name }, i) => {
    if (points[i]) return [];
    const own = setUps.filter((one) => one.jig === name);
    return [own.find(({ stopped }) => stopped) ?? own[0]!];
  });
  const named = new Map<string, number>();
  const trials = (letter: string): string[] =>
    ["", ""].map(() => {
      // The cells are c1 and c2.
      const count = (named.get(letter) ?? (letter === "c" ? 2 : 0)) + 1;
      named.set(letter, count);
      return `${letter}${count}`;
    });
  const kinds = [...new Set(cell.pieces.map(({ kind }) => kind))];
  const pieces = kinds.flatMap((kind) => cell.pieces.filter((piece) => piece.kind === kind).slice(0, 2));
  const rows = [
    ...points.flatMap((one) =>
      one ? pointRows(trials(one.piece.kind.charAt(0)), one.name, cornerName(one.cut.jigAngle)) : [],
    ),
    ...bevels.flatMap(({ name, cut }) => trials("b").flatMap((trial) => bevelRows(trial, name, cut.face))),
    ...["c1", "c2"].flatMap((trial) =>
      pieceRows(
        trial,
        pieces.map(({ name }) => name),
      ),
    ),
    ...cell.joints.map(
      ({ name }): Row => ({
        ...{ trial: "c1", setUp: null, bench: "cell", what: "gap", subject: name, at: "widest" },
        instrument: "shim-strips",
      }),
    ),
  ];
  return rows.map((row, i) => ({
    ...row,
    ...{ id: `m${String(i + 1).padStart(2, "0")}`, line: i + 2, round: null, value: null, note: "" },
    ...{ low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY },
  }));
}

function pointRows(trials: readonly string[], setUp: string, bench: `corner-${number}`): Row[] {
  return trials.flatMap((trial) => {
    const common = { trial, setUp };
    return (["left", "right"] as const).flatMap((side): Row[] => [
      {
        ...{ ...common, bench: "none", what: "angle", subject: `start-${side}`, at: null },
        instrument: "angle-gauge",
      },
      ...(["toe", "heel"] as const).map(
        (at): Row => ({
          ...{ ...common, bench, what: "gap", at, instrument: "shim-strips" },
          subject: `point.start-${side}|reference-${side}`,
        }),
      ),
    ]);
  });
}

const bevelRows = (trial: string, setUp: string, face: string): Row[] => [
  {
    ...{ trial, setUp, bench: "none", what: "angle", at: null },
    ...{ subject: face, instrument: "angle-gauge" },
  },
  ...(["toe", "heel"] as const).map(
    (at): Row => ({
      ...{ trial, setUp, bench: "straightedge", what: "gap", at },
      ...{ subject: "bevel.end-left|straightedge", instrument: "shim-strips" },
    }),
  ),
];

const pieceRows = (trial: string, pieces: readonly string[]): Row[] =>
  pieces.flatMap((subject): Row[] =>
    (["length", "thickness"] as const).map((what) => ({
      ...{ trial, setUp: null, bench: "none", what, subject, at: null, instrument: "caliper" },
    })),
  );
