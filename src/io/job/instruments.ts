import { z } from "zod";
import type { output } from "zod/v4/core";
import type { LengthUnit } from "../../core/quantity/index.js";
import { type Instrument, isAngleReading, PLACES, QUANTITIES } from "../../model/readings.js";
import { faultSentence } from "../faults.js";
import { angle, length, oneOrMore, risingLengths, word } from "../yaml/fields.js";
import type { KeyPath, YamlSource } from "../yaml/yaml-source.js";
import { ANGLE_SD_RULE, type CellSize, lengthLimits, MOST_ANGLE_SD } from "./limits.js";

type Read = output<ReturnType<typeof instrumentShape>>;

/** The instruments. Each has either leaves, which give intervals, or a resolution, which gives values. */
export function readInstruments(source: YamlSource, unit: LengthUnit, size: CellSize): Instrument[] {
  const shape = instrumentShape(unit, size);
  return source.entries(["instruments"], "instruments").flatMap(([name, path]): Instrument[] => {
    const read = source.take(path, shape);
    if (read === undefined) return [];
    requireOneDimension(source, path, read);
    requireReach(source, path, name, read);
    const { resolution, repeatability, bias, biasPriorSd } = readFineness(source, path, read, { unit, size });
    requireKind(source, path, name, read);
    const { reads, reach = [], leaves = [] } = read;
    return [
      {
        name,
        reads,
        reach,
        leaves,
        resolution: resolution ?? null,
        repeatability: repeatability ?? 0,
        bias: bias ?? 0,
        biasPriorSd: biasPriorSd ?? 0,
      },
    ];
  });
}

function readFineness(
  source: YamlSource,
  path: KeyPath,
  { reads }: Read,
  { unit, size }: { readonly unit: LengthUnit; readonly size: CellSize },
) {
  const ofAngles = reads.some(isAngleReading);
  const shapes = finenessShapes(ofAngles, unit, size);
  const example = (key: string) => (ofAngles ? { example: `${key}: 0.1 deg` } : {});
  return {
    resolution: source.take([...path, "resolution"], shapes.resolution, example("resolution")),
    repeatability: source.take([...path, "repeatability"], shapes.repeatability, example("repeatability")),
    bias: source.take([...path, "bias"], shapes.bias, example("bias")),
    biasPriorSd: source.take([...path, "bias-trusted-to"], shapes.biasPriorSd, example("bias-trusted-to")),
  };
}

function requireOneDimension(source: YamlSource, path: KeyPath, { reads }: Read): void {
  if (reads.every(isAngleReading) || !reads.some(isAngleReading)) return;
  const problem = "it reads angles and lengths, and its resolution can be in one of them only";
  const rule = "declare an instrument for each";
  source.refuse([...path, "reads"], faultSentence({ what: "reads", problem, rule }), {
    example: "reads: angle",
  });
}

function requireReach(source: YamlSource, path: KeyPath, name: string, { reads, reach }: Read): void {
  const what = `instrument ${name}`;
  if (reads.includes("gap") && reach === undefined)
    source.refuse(
      path,
      faultSentence({
        what,
        problem: "it reads gaps and does not say where it reaches",
        rule: "reach is toe, heel, widest, or a list of them; a broad leaf tells only the widest",
      }),
      { example: "reach: widest" },
    );
  if (!reads.includes("gap") && reach !== undefined)
    source.refuse(
      [...path, "reach"],
      faultSentence({
        what,
        problem: "it reads no gaps, so it has no reach",
        rule: "leave reach out, or add gap to what it reads",
      }),
      { example: "reads: gap" },
    );
}

function requireKind(source: YamlSource, path: KeyPath, name: string, read: Read): void {
  const what = `instrument ${name}`;
  const { leaves, reads, resolution } = read;
  if (leaves !== undefined && (reads.length > 1 || reads[0] !== "gap"))
    source.refuse(
      [...path, "leaves"],
      faultSentence({ what, problem: "it has leaves", rule: "leaves read gaps and nothing else" }),
      { example: "reads: gap" },
    );
  if (leaves !== undefined && resolution !== undefined)
    source.refuse(
      [...path, "resolution"],
      faultSentence({
        what,
        problem: "it has leaves and a resolution",
        rule: "leaves give intervals and a resolution gives values, so leave one of the two out",
      }),
    );
  if (leaves === undefined && resolution === undefined)
    source.refuse(
      path,
      faultSentence({
        what,
        problem: "it has neither leaves nor a resolution",
        rule: "a feeler gauge needs its leaves, any other instrument the smallest step it shows",
      }),
      { example: reads.some(isAngleReading) ? "resolution: 0.1 deg" : "resolution: 0.01 mm" },
    );
}

export const instrumentShape = (unit: LengthUnit, size: CellSize) =>
  z.strictObject({
    reads: oneOrMore("reads", word("reads", "quantity", QUANTITIES)),
    reach: oneOrMore("reach", word("reach", "place along a joint", PLACES)).optional(),
    leaves: risingLengths("leaves", unit, lengthLimits(size).leaf).optional(),
    // The unit of these depends on what the instrument reads.
    resolution: z.unknown().optional(),
    repeatability: z.unknown().optional(),
    bias: z.unknown().optional(),
    "bias-trusted-to": z.unknown().optional(),
  });

/** Resolution, repeatability and bias of an instrument that reads angles, or lengths. */
const finenessShapes = (ofAngles: boolean, unit: LengthUnit, size: CellSize) => {
  const { fineness, bias } = lengthLimits(size);
  return {
    resolution: ofAngles
      ? angle("resolution", "positive", MOST_ANGLE_SD, ANGLE_SD_RULE).optional()
      : length("resolution", unit, "positive", fineness).optional(),
    repeatability: ofAngles
      ? angle("repeatability", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE).default(0)
      : length("repeatability", unit, "non-negative", fineness).default(0),
    bias: ofAngles
      ? angle("bias", "any", MOST_ANGLE_SD, ANGLE_SD_RULE).default(0)
      : length("bias", unit, "any", bias).default(0),
    biasPriorSd: ofAngles
      ? angle("bias-trusted-to", "non-negative", MOST_ANGLE_SD, ANGLE_SD_RULE).default(0)
      : length("bias-trusted-to", unit, "non-negative", bias).default(0),
  };
};
