import { describe, expect, it } from "vitest";
import { parseDocument } from "yaml";
import type { z } from "zod";
import { asCutGroups, asCutShapes } from "../../../src/io/job/as-cut.js";
import { cellShapes } from "../../../src/io/job/cell.js";
import {
  benchCostShape,
  stockShape,
  toleranceGoalShape,
  toleranceShapes,
  trialCostsShape,
} from "../../../src/io/job/goals.js";
import { instrumentShape } from "../../../src/io/job/instruments.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import {
  panelBorderShape,
  panelFrameShape,
  panelLapsShape,
  panelMeasuredShape,
  panelShape,
} from "../../../src/io/job/panel.js";
import { widenShape } from "../../../src/io/job/records.js";
import { rampMoveShape, referenceShape, roundShape, stopMoveShape } from "../../../src/io/job/rounds.js";
import { climateShape, ownWoodShape, seasonShape } from "../../../src/io/job/season.js";
import { jigShape, setUpShape } from "../../../src/io/job/shop.js";
import { JOB_EXAMPLES, JOB_SPELLING } from "../../../src/io/yaml/job-examples.js";
import { FULL } from "../good-job.js";
import { faultsOf, inFolder } from "../in-folder.js";

/** A name for each star in a path that the full job has. */
const NAMES: Record<string, string[]> = {
  jigs: ["point-45"],
  "set-ups": ["diagonal-start"],
  instruments: ["feeler"],
  "as-cut.pieces": ["hinge-1", "end-left"],
  "as-cut.walls": ["wall-left"],
  "trial-costs.benches": ["corner-90"],
  "trial-costs.instruments": ["feeler"],
  "rounds.*.ramps": ["second", "point-45"],
  "rounds.*.stops": ["second", "diagonal-end"],
  rounds: ["second"],
  benches: ["corner-90"],
  "season.year": ["winter"],
  "season.woods": ["my wood"],
  sizes: ["height"],
};

function pathOf(key: string): string[] {
  const names =
    Object.entries(NAMES).find(([group]) => key === group || key.startsWith(`${group}.`))?.[1] ?? [];
  let used = 0;
  return key.split(".").map((step) => (step === "*" ? names[used++]! : step));
}

/** The job with one example in it, and without the keys that go ill with it. */
function withExample(key: string): string {
  // Only some patterns have further sizes.
  const further = key.startsWith("sizes");
  const document = parseDocument(further ? "pattern: asanoha-rectangular\nopening: 60\nstrip: 3\n" : FULL);
  const path = pathOf(key);
  if (key === "instruments.*.resolution") document.deleteIn(["instruments", "feeler", "leaves"]);
  if (key === "set-ups" || key === "jigs") document.delete("set-ups");
  if (key.startsWith("season."))
    document.setIn(
      ["season"],
      document.createNode(parseDocument(JOB_SPELLING.exampleFor(["season"])).toJS().season),
    );
  if (key.endsWith(".moisture")) document.setIn(path.slice(0, -1), document.createNode({ moisture: 1 }));
  if (key.startsWith("season.woods.*."))
    document.setIn(path.slice(0, -1), document.createNode({ radial: 0.001, tangential: 0.002 }));
  if (key === "jigs.*.rolled") document.setIn([...path.slice(0, -1), "lean"], "0.2 deg");
  const value = parseDocument(JOB_SPELLING.exampleFor(path)).toJS() as Record<string, unknown>;
  document.setIn(path, document.createNode(value[path.at(-1)!]));
  const move = path.slice(0, 4);
  if (key.startsWith("rounds.*.ramps.*.") && !key.endsWith("shim")) document.setIn([...move, "by"], 0.1);
  if (key.startsWith("rounds.*.stops.*.")) document.setIn([...move, "by"], 0.1);
  if (key === "rounds.*.stops.*.by" || key === "rounds.*.ramps.*.by")
    document.setIn(path, document.createNode(value[path.at(-1)!]));
  if (key === "set-ups.*.stop.locked" || key === "set-ups.*.stop.trusted-to")
    document.setIn(["set-ups", "diagonal-start", "stop", "step"], 0.05);
  return document.toString();
}

/** What the example of records names. */
const RECORD = "from: An earlier job\ndate: 2026-01-01\n";

/** Of a set of set-ups that makes one group of cuts only. */
const PARTIAL = new Set(["set-ups"]);

/** The cell that the limits of lengths follow from. */
const SIZE = { opening: 60, strip: 3 };

describe("the examples that messages offer", () => {
  it.each(Object.keys(JOB_EXAMPLES).filter((key) => !PARTIAL.has(key)))("are accepted: %s", (key) => {
    const text = withExample(key);
    const files = { "job.yaml": text, "jigs.yaml": RECORD };
    expect(faultsOf(() => loadJob(inFolder(files)))).toEqual([]);
  });

  it("are refused where they do not belong", () => {
    const text = FULL.replace("ramp: 45 deg", `ramp: ${JOB_EXAMPLES.opening}`);
    expect(faultsOf(() => loadJob(inFolder({ "job.yaml": text })))).toHaveLength(1);
  });

  it("are one for each key of each shape, and no others", () => {
    const keys = (shape: z.ZodType | { shape: object }): string[] =>
      "shape" in shape ? Object.keys(shape.shape as object) : [];
    const inner = (shape: object, key: string): string[] => {
      const wrapped = (shape as Record<string, { def: { innerType: { shape: object } } }>)[key]!;
      return Object.keys(wrapped.def.innerType.shape);
    };
    const tolerances = toleranceShapes("mm", SIZE);
    const expected: [string[], string[]][] = [
      [
        [
          "units",
          ...Object.keys(cellShapes("mm")),
          ...["pattern", "sizes"],
          "as-cut",
          "jigs",
          "set-ups",
          "instruments",
          ...Object.keys(tolerances),
          ...["season", "stock", "tolerances"],
          ...[
            "rounds",
            "benches",
            "mistakes",
            "lengths",
            "costs",
            "trial-costs",
            "records",
            "widen",
            "panel",
          ],
        ],
        [],
      ],
      [keys(asCutGroups), ["as-cut"]],
      [keys(asCutShapes("mm").pieceGroups), ["as-cut", "pieces", "key-1"]],
      [keys(asCutShapes("mm").cutErrors), ["as-cut", "pieces", "key-1", "cuts", "end-left"]],
      [keys(asCutShapes("mm").wallErrors), ["as-cut", "walls", "wall-top"]],
      [keys(jigShape("mm", SIZE)), ["jigs", "any"]],
      [inner(jigShape("mm", SIZE).shape, "shims"), ["jigs", "any", "shims"]],
      [keys(setUpShape("mm", SIZE)), ["set-ups", "any"]],
      [inner(setUpShape("mm", SIZE).shape, "stop"), ["set-ups", "any", "stop"]],
      [keys(instrumentShape("mm", SIZE)), ["instruments", "any"]],
      [keys(roundShape), ["rounds", "any"]],
      [keys(rampMoveShape("mm", SIZE)), ["rounds", "any", "ramps", "any"]],
      [keys(stopMoveShape("mm", SIZE)), ["rounds", "any", "stops", "any"]],
      [keys(referenceShape), ["benches", "any"]],
      [keys(trialCostsShape), ["trial-costs"]],
      [keys(benchCostShape), ["trial-costs", "benches", "cell"]],
      [keys(seasonShape), ["season"]],
      [keys(climateShape("mm")), ["season", "shop"]],
      [keys(climateShape("mm")), ["season", "year", "any"]],
      [keys(ownWoodShape), ["season", "woods", "any"]],
      [keys(stockShape("mm", SIZE)), ["stock"]],
      [keys(toleranceGoalShape), ["tolerances"]],
      [inner(toleranceGoalShape.shape, "costs"), ["tolerances", "costs"]],
      [inner({ widen: widenShape("mm", SIZE) }, "widen"), ["widen"]],
      [keys(panelShape("mm", SIZE)), ["panel"]],
      [inner({ border: panelBorderShape("mm", SIZE) }, "border"), ["panel", "border"]],
      [inner({ laps: panelLapsShape("mm", SIZE) }, "laps"), ["panel", "laps"]],
      [inner({ measured: panelMeasuredShape("mm", SIZE) }, "measured"), ["panel", "measured"]],
      [keys(panelFrameShape("mm", SIZE)), ["panel", "frame"]],
      ...Object.keys(tolerances).map((key): [string[], string[]] => [inner(tolerances, key), [key]]),
    ];
    for (const [shape, path] of expected) {
      expect(shape.length).toBeGreaterThan(0);
      expect(JOB_SPELLING.keysKnown(path).sort(), path.join(".")).toEqual(shape.sort());
    }
  });
});
