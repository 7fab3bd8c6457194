import { cellOf } from "../calibrate/specimen.js";
import type { Job } from "../job/job.js";
import type { Reading } from "../readings/reading.js";

type Row = Pick<Reading, "trial" | "setUp" | "bench" | "what" | "subject" | "at" | "instrument">;

/** What is read of a mystery's trial cuts: two trial points of each point jig, two bevels, the pieces of two cells, and every joint of one. */
export function mysteryPlan(job: Job): Reading[] {
  const rows = [
    ...pointRows("d", "diagonal-start", "corner-90"),
    ...pointRows("h", "hinge-point", "corner-45"),
    ...["b1", "b2"].flatMap((trial) => bevelRows(trial)),
    ...["c1", "c2"].flatMap((trial) => pieceRows(trial)),
    ...cellOf(job).joints.map(
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

function pointRows(letter: string, setUp: string, bench: "corner-90" | "corner-45"): Row[] {
  return ["1", "2"].flatMap((number) => {
    const common = { trial: `${letter}${number}`, setUp };
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

const bevelRows = (trial: string): Row[] => [
  {
    ...{ trial, setUp: "hinge-mitre", bench: "none", what: "angle", at: null },
    ...{ subject: "end-right", instrument: "angle-gauge" },
  },
  ...(["toe", "heel"] as const).map(
    (at): Row => ({
      ...{ trial, setUp: "hinge-mitre", bench: "straightedge", what: "gap", at },
      ...{ subject: "bevel.end-left|straightedge", instrument: "shim-strips" },
    }),
  ),
];

const pieceRows = (trial: string): Row[] =>
  ["diagonal", "hinge-1", "hinge-2", "key-1", "key-2"].flatMap((subject): Row[] =>
    (["length", "thickness"] as const).map((what) => ({
      ...{ trial, setUp: null, bench: "none", what, subject, at: null, instrument: "caliper" },
    })),
  );
