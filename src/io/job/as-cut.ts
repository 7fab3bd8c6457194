import { z } from "zod";
import { type LengthUnit, parseLength } from "../../core/quantity/index.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { type AsCut, LARGEST_ANGLE_ERROR } from "../../model/cell/cell-errors.js";
import { faultSentence, nearest, Unfit, unknownWord } from "../faults.js";
import { angle, leaf } from "../yaml/fields.js";
import { JOB_EXAMPLES } from "../yaml/job-examples.js";
import type { KeyPath, YamlSource } from "../yaml/yaml-source.js";
import { requireDepth } from "./shop.js";

const PIECES: KeyPath = ["as-cut", "pieces"];
const WALLS: KeyPath = ["as-cut", "walls"];

/** The as-cut errors, piece by piece; `null` if the file gives none. */
export function readAsCut(
  source: YamlSource,
  units: LengthUnit,
  { pieces, walls, strip }: Arrangement,
): AsCut | null {
  if (source.at(["as-cut"]) === undefined) return null;
  if (source.take(["as-cut"], asCutGroups) === undefined) return null;
  const { pieceGroups, cutErrors, wallErrors } = asCutShapes(units);
  const known = new Map(pieces.map((piece) => [piece.name, piece.cuts.map(({ face }) => face)]));
  return {
    pieces: Object.fromEntries(
      namesAmong(source, PIECES, "piece", [...known.keys()]).map(([name, path]) => {
        const { cuts, thickness } = source.take(path, pieceGroups) ?? {};
        if (thickness !== undefined && thickness <= -strip) refuseThickness(source, path);
        if (cuts === undefined) return [name, present({ thickness })];
        const faces = namesAmong(source, [...path, "cuts"], "face", known.get(name)!);
        const errors = faces.map(([face, at]) => {
          const read = source.take(at, cutErrors) ?? {};
          if (read.lean !== undefined) requireDepth(source, [...at, "lean"]);
          return [face, present(read)];
        });
        return [name, present({ thickness, cuts: Object.fromEntries(errors) })];
      }),
    ),
    walls: Object.fromEntries(
      namesAmong(
        source,
        WALLS,
        "wall",
        walls.map((wall) => wall.name),
      ).map(([name, path]) => [name, present(source.take(path, wallErrors) ?? {})]),
    ),
  };
}

/** The entries of a group whose names exist in the cell; any other name is noted as a fault. */
function namesAmong(
  source: YamlSource,
  path: KeyPath,
  kind: string,
  known: readonly string[],
): [string, KeyPath][] {
  return source.entries(path, `${kind}s`).filter(([name, at]) => {
    if (known.includes(name)) return true;
    const [problem, rule] = unknownWord(name, kind, known);
    const key = nearest(name, known) ?? known[0]!;
    const example = `${key}: ${JOB_EXAMPLES[`as-cut.${kind === "face" ? "pieces.*.cuts" : `${kind}s`}.*`]}`;
    source.refuseKey(at, faultSentence({ what: kind, problem, rule, value: name }), example);
    return false;
  });
}

const refuseThickness = (source: YamlSource, path: KeyPath): void =>
  source.refuse(
    [...path, "thickness"],
    faultSentence({
      what: "thickness error",
      problem: "it leaves no strip",
      rule: "give the difference from the strip, not the thickness",
      value: source.at([...path, "thickness"]),
    }),
  );

type Given<T> = { [K in keyof T]: Exclude<T[K], undefined> };

/** Missing values stay missing. */
const present = <T extends object>(value: T): Given<T> =>
  Object.fromEntries(Object.entries(value).filter(([, entry]) => entry !== undefined)) as Given<T>;

const LIMIT = "an error is at most 10° either way, so give the error and not the angle itself";

const angleError = (what: string) => angle(what, "any", LARGEST_ANGLE_ERROR + 1e-12, LIMIT).optional();

/**
 * A length, mm. Lists of as-cut errors took bare numbers as mm whatever the job's `units`: in a job in inches one is refused, so that an old
 * file does not change its meaning.
 */
const lengthError = (what: string, units: LengthUnit) =>
  leaf(what, (input) => {
    const bare = typeof input === "number" || (typeof input === "string" && /^[\s\d.,+−-]*$/.test(input));
    if (units === "in" && bare && Number(input) !== 0)
      throw new Unfit(
        "its unit is missing",
        "errors of pieces and walls were once taken as mm here, so that inches or thou must be named",
      );
    return parseLength(input, { unit: units, sign: "any", what });
  }).optional();

/** Shapes of the errors of a piece, a cut and a wall. */
export const asCutShapes = (units: LengthUnit) => ({
  pieceGroups: z.strictObject({
    thickness: lengthError("thickness error", units),
    cuts: z.unknown().optional(),
  }),
  cutErrors: z.strictObject({
    angle: angleError("angle error"),
    axial: lengthError("axial error", units),
    lean: angleError("lean"),
  }),
  wallErrors: z.strictObject({
    turn: angleError("turn of the wall"),
    offset: lengthError("offset of the wall", units),
  }),
});

export const asCutGroups = z.strictObject({ pieces: z.unknown().optional(), walls: z.unknown().optional() });
