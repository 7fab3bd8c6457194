import { readFileSync } from "node:fs";
import { join } from "node:path";
import { parse as parseCsv } from "csv-parse/sync";
import { parse as parseYaml } from "yaml";

// Written from docs/model.md (and docs/job-files.md for the names of the keys) alone; nothing is imported from src. Lengths in mm, angles in rad.

export interface Jig {
  readonly ramp: number;
  readonly fence: "centred" | "long-side" | "short-side";
  readonly sd: number;
}

export interface SetUp {
  readonly name: string;
  readonly jig: string;
  readonly cuts: readonly string[];
  /** Standard deviation of its stop; 0 where it has none. */
  readonly stopSd: number;
}

export interface Instrument {
  readonly step: number;
  readonly repeatability: number;
  readonly bias: number;
  readonly biasSd: number;
}

/** A known move of one ramp or stop. */
export interface Move {
  readonly round: string;
  readonly kind: "ramp" | "stop";
  readonly of: string;
  readonly by: number;
  readonly sd: number;
}

export interface Shop {
  readonly opening: number;
  readonly strip: number;
  readonly share: number;
  readonly order: "first" | "exact";
  readonly jigs: ReadonlyMap<string, Jig>;
  readonly setUps: readonly SetUp[];
  readonly instruments: ReadonlyMap<string, Instrument>;
  readonly scatter: { readonly angle: number; readonly length: number; readonly thickness: number };
  readonly batchSd: number;
  readonly grid: { readonly offset: number; readonly turn: number };
  readonly rounds: readonly string[];
  readonly moves: readonly Move[];
  /** By bench. */
  readonly references: ReadonlyMap<string, number>;
  readonly mistakes: number;
}

export interface Reading {
  readonly id: string;
  readonly trial: string;
  readonly setUp: string;
  readonly round: string;
  readonly bench: string;
  readonly what: string;
  readonly subject: string;
  readonly at: string;
  /** A value, or an interval with ends that may be infinite. */
  readonly value: number | null;
  readonly low: number;
  readonly high: number;
  readonly instrument: string;
}

type Tree = { readonly [key: string]: unknown };

/** A bare number is in mm or in degrees; written with a unit it may be `0.5 deg` or `0.02 mm`. */
function amount(value: unknown, kind: "length" | "angle", otherwise = 0): number {
  if (value === undefined || value === null || value === "") return otherwise;
  const [, number, unit] = /^\s*(-?[\d.]+)\s*(mm|deg|°)?\s*$/.exec(String(value)) ?? [];
  if (number === undefined) throw new Error(`"${String(value)}" is not read here`);
  if (unit !== undefined && (unit === "mm") !== (kind === "length"))
    throw new Error(`${String(value)} is no ${kind}`);
  return kind === "angle" ? (Number(number) * Math.PI) / 180 : Number(number);
}

const tree = (value: unknown): Tree => (value ?? {}) as Tree;
const entries = (value: unknown): [string, Tree][] =>
  Object.entries(tree(value)).map(([name, one]) => [name, tree(one)]);

/** Reads a folder with a job of the square asanoha in mm, without leans and records. */
export function readShop(folder: string): { shop: Shop; readings: Reading[] } {
  const job = tree(parseYaml(readFileSync(join(folder, "job.yaml"), "utf8")));
  if (job.pattern !== "asanoha-square" || (job.units ?? "mm") !== "mm" || job.records !== undefined)
    throw new Error(`${folder}: only the square asanoha in mm without records is read here`);
  const strip = amount(job.strip, "length");
  const scatter = tree(job.scatter);
  const grid = tree(job.grid);
  const shop: Shop = {
    opening: amount(job.opening, "length"),
    strip,
    share: job["seat-share"] === undefined ? Math.cos(Math.PI / 8) / Math.SQRT2 : Number(job["seat-share"]),
    order: job.order === "first" ? "first" : "exact",
    jigs: new Map(
      entries(job.jigs).map(([name, jig]) => {
        if (jig.lean !== undefined || jig["lean-trusted-to"] !== undefined)
          throw new Error("leans are not read here");
        const fence = (jig.fence ?? "centred") as Jig["fence"];
        return [
          name,
          { ramp: amount(jig.ramp, "angle"), fence, sd: amount(jig["trusted-to"], "angle", 0.3 * DEGREE) },
        ];
      }),
    ),
    setUps: entries(job["set-ups"]).map(([name, one]) => ({
      name,
      jig: String(one.jig),
      cuts: one.cuts as string[],
      stopSd: one.stop === undefined ? 0 : amount(tree(one.stop)["trusted-to"], "length", 0.1),
    })),
    instruments: new Map(
      entries(job.instruments).map(([name, one]) => {
        const angular = [one.reads].flat().some((what) => what === "angle" || what === "ramp");
        const of = (key: string): number => amount(one[key], angular ? "angle" : "length");
        return [
          name,
          {
            step: of("resolution"),
            repeatability: of("repeatability"),
            bias: of("bias"),
            biasSd: of("bias-trusted-to"),
          },
        ];
      }),
    ),
    scatter: {
      angle: amount(scatter.angle, "angle", 0.05 * DEGREE),
      length: amount(scatter.length, "length", 0.02),
      thickness: amount(scatter.thickness, "length", 0.01),
    },
    batchSd: amount(tree(job.thickness)["trusted-to"], "length", 0.03),
    grid: {
      offset: amount(grid.offset, "length", 0.02),
      turn: amount(grid.turn, "angle", 0.02 * DEGREE),
    },
    rounds: entries(job.rounds).map(([name]) => name),
    moves: entries(job.rounds).flatMap(([round, { ramps, stops }]) => [
      ...entries(ramps).map(
        ([of, move]): Move => ({
          round,
          of,
          kind: "ramp",
          sd: amount(move["trusted-to"], "angle", 0.05 * DEGREE),
          by: move.shim === undefined ? amount(move.by, "angle") : shimTurn(job, of, move.shim),
        }),
      ),
      ...entries(stops).map(
        ([of, move]): Move => ({
          round,
          of,
          kind: "stop",
          sd: amount(move["trusted-to"], "length", 0.02),
          by: amount(move.by, "length"),
        }),
      ),
    ]),
    references: new Map(
      entries(job.benches).map(([bench, one]) => [bench, amount(one["trusted-to"], "angle")]),
    ),
    mistakes: Number(job.mistakes ?? 0),
  };
  const rows = parseCsv(readFileSync(join(folder, "trials.csv"), "utf8"), { columns: true }) as Record<
    string,
    string
  >[];
  return { shop, readings: rows.map((row) => readingOf(row, shop)) };
}

export const DEGREE = Math.PI / 180;

/** A leaf of thickness u on the base B turns a ramp by arctan(u/B). */
function shimTurn(job: Tree, jig: string, shim: unknown): number {
  const { base } = tree(tree(tree(job.jigs)[jig]).shims);
  return Math.atan(amount(shim, "length") / amount(base, "length"));
}

function readingOf(row: Record<string, string>, { instruments }: Shop): Reading {
  const { id = "", trial = "", round = "", bench = "", what = "", at = "", instrument = "" } = row;
  const kind = what === "angle" || what === "ramp" ? "angle" : "length";
  const common = { id, trial, round, bench, what, at, instrument };
  const reading = {
    ...common,
    setUp: row["set-up"] ?? "",
    subject: row.joint ?? "",
    value: null,
    low: amount(row.low, kind, Number.NEGATIVE_INFINITY),
    high: amount(row.high, kind, Number.POSITIVE_INFINITY),
  };
  if (row.value === "" || row.value === undefined) return reading;
  const value = amount(row.value, kind);
  if (what !== "gap" || value !== 0) return { ...reading, value };
  const { step = 0, repeatability = 0 } = instruments.get(instrument) ?? {};
  return { ...reading, high: Math.max(step / 2, repeatability) };
}
