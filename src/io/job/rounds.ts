import { z } from "zod";
import { DEGREE } from "../../core/geometry.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { benchNames } from "../../model/cell/benches.js";
import { COSTS, LENGTHS } from "../../model/job/job.js";
import type { Jig, KnownMove, Reference, Round, SetUp } from "../../model/shop.js";
import { faultSentence, unknownWord } from "../faults.js";
import { angle, length, number, word } from "../yaml/fields.js";
import type { KeyPath, YamlSource } from "../yaml/yaml-source.js";
import { ANGLE_SD_RULE, type CellSize, lengthLimits, MOST_ANGLE_SD } from "./limits.js";

type Jigs = ReadonlyMap<string, Jig | null>;

/** The rounds of trials with the known moves before each, in the order of the file. */
export function readRounds(
  source: YamlSource,
  unit: LengthUnit,
  shop: { readonly jigs: Jigs; readonly setUps: readonly SetUp[]; readonly size: CellSize },
): Round[] {
  const { jigs, setUps, size } = shop;
  return source.entries(["rounds"], "rounds").flatMap(([name, path]): Round[] => {
    if (source.take(path, roundShape) === undefined) return [];
    const stops = setUps.filter(({ stop }) => stop !== null).map((setUp) => setUp.name);
    return [
      {
        name,
        moves: [
          ...rampMoves(source, path, rampMoveShape(unit, size), jigs),
          ...stopMoves(source, path, stopMoveShape(unit, size), stops),
        ],
      },
    ];
  });
}

function rampMoves(
  source: YamlSource,
  path: KeyPath,
  shape: ReturnType<typeof rampMoveShape>,
  jigs: Jigs,
): KnownMove[] {
  return source.entries([...path, "ramps"], "moved ramps").flatMap(([name, at]): KnownMove[] => {
    const read = source.take(at, shape);
    if (!known(source, at, "jig in this job", name, [...jigs.keys()]) || read === undefined) return [];
    const { by, shim, "trusted-to": priorSd } = read;
    const ramp = { kind: "ramp", of: name } as const;
    if (by !== undefined && shim === undefined) return [{ source: ramp, by, priorSd }];
    if (by !== undefined || shim === undefined) {
      refuse(
        source,
        at,
        name,
        "it must give its move in exactly one way",
        "give either by (an angle) or shim (a thickness)",
        "by: 0.3 deg",
      );
      return [];
    }
    const base = jigs.get(name)?.shims?.base;
    if (base === undefined) {
      refuse(
        source,
        at,
        name,
        "the jig has no base to put a shim on",
        "give the angle it was turned by",
        "by: 0.3 deg",
      );
      return [];
    }
    return [{ source: ramp, by: Math.atan(shim / base), priorSd }];
  });
}

function stopMoves(
  source: YamlSource,
  path: KeyPath,
  shape: ReturnType<typeof stopMoveShape>,
  stops: readonly string[],
): KnownMove[] {
  return source.entries([...path, "stops"], "moved stops").flatMap(([name, at]): KnownMove[] => {
    const read = source.take(at, shape);
    if (!known(source, at, "set-up with a stop", name, stops) || read === undefined) return [];
    return [{ source: { kind: "stop", of: name }, by: read.by, priorSd: read["trusted-to"] }];
  });
}

/** Benches whose reference is not assumed to be perfect. */
export function readReferences(source: YamlSource, arrangement: Arrangement): Reference[] {
  const names = benchNames(arrangement).filter((name) => name !== "reversal" && name !== "ring");
  return source.entries(["benches"], "benches").flatMap(([bench, path]): Reference[] => {
    const read = source.take(path, referenceShape);
    if (!known(source, path, "bench with a reference", bench, names) || read === undefined) return [];
    return [{ bench, priorSd: read["trusted-to"] }];
  });
}

function known(
  source: YamlSource,
  path: KeyPath,
  kind: string,
  name: string,
  names: readonly string[],
): boolean {
  if (names.includes(name)) return true;
  const [problem, rule] = unknownWord(name, kind, names);
  source.refuseKey(path, faultSentence({ what: kind, problem, rule, value: name }), names[0] ?? "its name");
  return false;
}

function refuse(
  source: YamlSource,
  path: KeyPath,
  what: string,
  problem: string,
  rule: string,
  example: string,
): void {
  source.refuse(path, faultSentence({ what, problem, rule }), { example });
}

/** Default standard deviations of the turn by a shim (rad) and of a stop's move (mm). Common practice, no source. */
const SHIM_TRUSTED_TO = 0.05 * DEGREE;
const STOP_TRUSTED_TO = 0.02;

/** A ramp turned between rounds, by an angle or by a shim (positive: cuts sharper). */
export const rampMoveShape = (unit: LengthUnit, size: CellSize) =>
  z.strictObject({
    by: angle("by", "any", MOST_ANGLE_SD, ANGLE_SD_RULE).optional(),
    shim: length("shim", unit, "any", lengthLimits(size).shim).optional(),
    "trusted-to": angle("trusted-to", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE).default(SHIM_TRUSTED_TO),
  });

/** A stop moved between rounds (positive: longer). */
export const stopMoveShape = (unit: LengthUnit, size: CellSize) =>
  z.strictObject({
    by: length("by", unit, "any", lengthLimits(size).stopMove),
    "trusted-to": length("trusted-to", unit, "non-negative", lengthLimits(size).stop).default(
      STOP_TRUSTED_TO,
    ),
  });

export const roundShape = z.strictObject({
  ramps: z.unknown().optional(),
  stops: z.unknown().optional(),
});

export const referenceShape = z.strictObject({
  "trusted-to": angle("trusted-to", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE),
});

const MOST_MISTAKES = 0.5;

/** Share of readings that may be gross mistakes. */
export const mistakesShape = number(
  "mistakes",
  (share) => share >= 0 && share <= MOST_MISTAKES,
  "it is the share of readings that may be gross mistakes, from 0 to 0.5",
).default(0);

export const lengthsShape = word("lengths", "way of cutting to length", LENGTHS).default("as-cut");

/** Larger costs, and more cells, could only be slips; their products stay finite. */
const MOST_COST = 1e6;

const cost = (what: string, otherwise: number) =>
  number(
    what,
    (value) => value >= 0 && value <= MOST_COST,
    `it is counted in scrapped pieces, from 0 to ${MOST_COST}`,
  ).default(otherwise);

export const costsShape = z
  .strictObject({
    "open-cell": cost("open-cell", COSTS.openCell),
    "tight-piece": cost("tight-piece", COSTS.tightPiece),
    "loose-piece": cost("loose-piece", COSTS.loosePiece),
    gap: cost("gap", COSTS.gap),
    adjusting: cost("adjusting", COSTS.adjusting),
    trial: cost("trial", COSTS.trial),
    cells: number(
      "cells",
      (value) => value >= 1 && value <= MOST_COST,
      `it is the number of cells to be cut, from 1 to ${MOST_COST}`,
    ).default(COSTS.cells),
  })
  .prefault({})
  .transform(({ "open-cell": openCell, "tight-piece": tightPiece, "loose-piece": loosePiece, ...rest }) => ({
    openCell,
    tightPiece,
    loosePiece,
    ...rest,
  }));
