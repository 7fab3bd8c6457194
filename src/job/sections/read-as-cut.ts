import type { AsCut } from "../../cutting/as-cut-errors.js";
import type { Arrangement } from "../../lattice/arrangement.js";
import type { JobPath, JobSource } from "../file/job-source.js";
import { asCutGroups, cutErrors, pieceGroups, wallErrors } from "../shape/as-cut-shapes.js";
import { JOB_EXAMPLES } from "../shape/job-examples.js";
import { faultSentence } from "../unfit.js";
import { nearest, unknownWord } from "../words.js";
import { requireDepth } from "./require-depth.js";

const PIECES: JobPath = ["as-cut", "pieces"];
const WALLS: JobPath = ["as-cut", "walls"];

/** The errors piece by piece, as they were cut; `null` where the file gives none. */
export function readAsCut(source: JobSource, { pieces, walls, strip }: Arrangement): AsCut | null {
  if (source.at(["as-cut"]) === undefined) return null;
  if (source.take(["as-cut"], asCutGroups) === undefined) return null;
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

/** The entries of a group whose names the cell has; another name is noted as a fault. */
function namesAmong(
  source: JobSource,
  path: JobPath,
  kind: string,
  known: readonly string[],
): [string, JobPath][] {
  return source.entries(path, `${kind}s`).filter(([name, at]) => {
    if (known.includes(name)) return true;
    const [problem, rule] = unknownWord(name, kind, known);
    const key = nearest(name, known) ?? known[0]!;
    const example = `${key}: ${JOB_EXAMPLES[`as-cut.${kind === "face" ? "pieces.*.cuts" : `${kind}s`}.*`]}`;
    source.refuseKey(at, faultSentence({ what: kind, problem, rule, value: name }), example);
    return false;
  });
}

const refuseThickness = (source: JobSource, path: JobPath): void =>
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

/** What is absent stays absent. */
const present = <T extends object>(value: T): Given<T> =>
  Object.fromEntries(Object.entries(value).filter(([, entry]) => entry !== undefined)) as Given<T>;
