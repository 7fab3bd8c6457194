import { stringify } from "csv-stringify/sync";
import { at } from "../../core/numeric/dense.js";
import { patternShop, type StarterSetUp } from "../../io/patterns/pattern-shop.js";
import { cornerName } from "../../model/cell/benches.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import type { Place, Reading } from "../../model/readings.js";
import type { MysteryLevel } from "./mystery-job.js";

type Row = Pick<Reading, "trial" | "setUp" | "bench" | "what" | "subject" | "at" | "instrument">;

/**
 * What is read of a mystery's trial cuts. Without a level: two trial points of each jig that makes points, two bevels of each other jig, the pieces of two cells (two of a
 * kind at most), and every joint of one. `rulers` has no gaps and `feeler` nothing else; `cell` has both ends of every joint of two cells, and `budget` the same as no level.
 */
export function mysteryPlan(job: Job, level?: MysteryLevel): Reading[] {
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
    return [own.find(({ stopped }) => stopped) ?? at(own, 0)];
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
  const joints = (trial: string, ends: readonly Place[]): Row[] =>
    cell.joints.flatMap(({ name }) =>
      ends.map(
        (at): Row => ({
          trial,
          setUp: null,
          bench: "cell",
          what: "gap",
          subject: name,
          at,
          instrument: "shim-strips",
        }),
      ),
    );
  const all = [
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
    ...joints("c1", ["widest"]),
  ];
  const rows =
    level === "cell"
      ? ["c1", "c2"].flatMap((trial) => joints(trial, ["toe", "heel"]))
      : level === "feeler"
        ? [...all.filter(({ what }) => what === "gap"), ...joints("c2", ["widest"])]
        : level === "rulers"
          ? all.filter(({ what }) => what !== "gap")
          : all;
  return rows.map((row, i) => ({
    ...row,
    id: `m${String(i + 1).padStart(2, "0")}`,
    line: i + 2,
    round: null,
    value: null,
    note: "",
    low: Number.NEGATIVE_INFINITY,
    high: Number.POSITIVE_INFINITY,
  }));
}

function pointRows(trials: readonly string[], setUp: string, bench: `corner-${number}`): Row[] {
  return trials.flatMap((trial) => {
    const common = { trial, setUp };
    return (["left", "right"] as const).flatMap((side): Row[] => [
      {
        ...common,
        bench: "none",
        what: "angle",
        subject: `start-${side}`,
        at: null,
        instrument: "angle-gauge",
      },
      ...(["toe", "heel"] as const).map(
        (at): Row => ({
          ...common,
          bench,
          what: "gap",
          at,
          instrument: "shim-strips",
          subject: `point.start-${side}|reference-${side}`,
        }),
      ),
    ]);
  });
}

const bevelRows = (trial: string, setUp: string, face: string): Row[] => [
  {
    trial,
    setUp,
    bench: "none",
    what: "angle",
    at: null,
    subject: face,
    instrument: "angle-gauge",
  },
  ...(["toe", "heel"] as const).map(
    (at): Row => ({
      trial,
      setUp,
      bench: "straightedge",
      what: "gap",
      at,
      subject: "bevel.end-left|straightedge",
      instrument: "shim-strips",
    }),
  ),
];

const pieceRows = (trial: string, pieces: readonly string[]): Row[] =>
  pieces.flatMap((subject): Row[] =>
    (["length", "thickness"] as const).map((what) => ({
      trial,
      setUp: null,
      bench: "none",
      what,
      subject,
      at: null,
      instrument: "caliper",
    })),
  );

/** What a mystery with a budget has to spend, in points. */
export const BUDGET = 24;

/** What a reading costs, in points: more where a piece is fitted to a bench, and most where a cell is put together. Our own figures. */
export const priceOf = ({ what, bench }: Pick<Reading, "what" | "bench">): number =>
  what !== "gap" ? 1 : bench === "cell" ? 3 : 2;

/** What can be bought, with its price and without what it shows. */
export function menuCsv({ setUps }: Job, readings: readonly Reading[]): string {
  const jigOf = (name: string | null): string => setUps.find((one) => one.name === name)?.jig ?? "";
  return stringify([
    ["id", "price", "trial", "set-up", "jig", "bench", "joint", "what", "at", "instrument"],
    ...readings.map((reading) => [
      ...[reading.id, priceOf(reading), reading.trial, reading.setUp ?? "", jigOf(reading.setUp)],
      ...[reading.bench, reading.subject ?? "", reading.what, reading.at ?? "", reading.instrument],
    ]),
  ]);
}
