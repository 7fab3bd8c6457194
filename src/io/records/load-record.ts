import { z } from "zod";
import type { SourceId } from "../../model/source-id.js";
import { ANGLE_SD_RULE, CELL_LIMITS, MOST_ANGLE_SD } from "../job/limits.js";
import { angle, length, list, text } from "../yaml/fields.js";
import { spellingOf } from "../yaml/job-examples.js";
import { YamlSource } from "../yaml/yaml-source.js";
import type { JigRecord, LeanRecord, RampRecord, StopRecord } from "./jig-record.js";
import { MOST_STOP, readTogether } from "./read-together.js";

const RAMP = "{ ramp: 45 deg, error: 0.31 deg, uncertainty: 0.03 deg }";
const LEAN = "{ error: 0.36 deg, uncertainty: 0.03 deg }";
const STOP =
  "{ jig: point-45, cuts: [key.end], opening: 60 mm, strip: 4 mm, error: 0.1 mm, uncertainty: 0.02 mm }";
const CASE =
  "{ share: 1, errors: { ramp point-45: 0.31 deg, stop key-end: 0.1 mm }, uncertainties: { ramp point-45: 0.03 deg, stop key-end: 0.02 mm }, correlations: { ramp point-45 with stop key-end: -0.4 } }";

/** Every key of a record, with an example value; `*` stands for a name. */
const EXAMPLES: Readonly<Record<string, string>> = {
  from: "Alcove screen",
  date: "2026-03-21",
  ramps: `{ point-45: ${RAMP} }`,
  "ramps.*": RAMP,
  "ramps.*.ramp": "45 deg",
  "ramps.*.error": "0.31 deg",
  "ramps.*.uncertainty": "0.03 deg",
  leans: `{ bevel-22: ${LEAN} }`,
  "leans.*": LEAN,
  "leans.*.error": "0.36 deg",
  "leans.*.uncertainty": "0.03 deg",
  stops: `{ key-end: ${STOP} }`,
  "stops.*": STOP,
  "stops.*.jig": "point-45",
  "stops.*.cuts": "[key.end]",
  "stops.*.cell": '"diamond, height 45"',
  "stops.*.opening": "60 mm",
  "stops.*.strip": "4 mm",
  "stops.*.error": "0.1 mm",
  "stops.*.uncertainty": "0.02 mm",
  together: `[${CASE}]`,
  "together.share": "1",
  "together.errors": "{ ramp point-45: 0.31 deg, stop key-end: 0.1 mm }",
  "together.errors.*": "0.1 mm",
  "together.uncertainties": "{ ramp point-45: 0.03 deg, stop key-end: 0.02 mm }",
  "together.uncertainties.*": "0.02 mm",
  "together.correlations": "{ ramp point-45 with stop key-end: -0.4 }",
  "together.correlations.*": "-0.4",
};

const angleError = {
  error: angle("error", "any", MOST_ANGLE_SD, ANGLE_SD_RULE),
  uncertainty: angle("uncertainty", "positive", MOST_ANGLE_SD, ANGLE_SD_RULE),
};
const rampShape: z.ZodType<RampRecord> = z.strictObject({ ramp: angle("ramp", "positive"), ...angleError });
const leanShape: z.ZodType<LeanRecord> = z.strictObject(angleError);

const stopShape = z.strictObject({
  jig: text("jig"),
  cuts: list(text("cuts")),
  cell: text("cell").optional(),
  opening: length("opening", "mm", "positive", CELL_LIMITS.opening),
  strip: length("strip", "mm", "positive", CELL_LIMITS.strip),
  error: length("error", "mm", "any", MOST_STOP),
  uncertainty: length("uncertainty", "mm", "positive", MOST_STOP),
});

/**
 * Loads a jig's record as `sukima record` writes it: `from`, `date`, `ramps` and `leans` by jig, `stops` by set-up, `together` by case. Numbers without a unit are in degrees and mm.
 *
 * @throws JobError with everything that is wrong in the file
 */
export function loadRecord(file: string): JigRecord {
  const source = YamlSource.read(file, spellingOf(EXAMPLES, "from: Alcove screen"));
  source.requireTopKeys();
  const named = <T>(group: string, shape: z.ZodType<T>): ReadonlyMap<string, T> =>
    new Map(
      source.entries([group], group).flatMap(([name, path]): [string, T][] => {
        const read = source.take(path, shape);
        return read === undefined ? [] : [[name, read]];
      }),
    );
  const ramps = named("ramps", rampShape);
  const leans = named("leans", leanShape);
  const stops = named(
    "stops",
    stopShape.transform(
      ({ cell, ...stop }): StopRecord => ({ ...stop, ...(cell === undefined ? {} : { cell }) }),
    ),
  );
  const from = source.take(["from"], text("from"));
  const date = source.take(["date"], text("date"));
  const together = readTogether(source, [
    ...[...ramps.keys()].map((of): SourceId => ({ kind: "ramp", of })),
    ...[...leans.keys()].map((of): SourceId => ({ kind: "lean", of })),
    ...[...stops.keys()].map((of): SourceId => ({ kind: "stop", of })),
  ]);
  source.requireFaultless();
  return { from: from ?? "", date: date ?? "", ramps, leans, stops, ...(together && { together }) };
}
