import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { isUserError } from "../../../src/core/errors.js";
import { batchCommand } from "../../../src/features/batch/batch-report.js";
import { calibrateCommand, cardCommand } from "../../../src/features/calibrate/calibration-report.js";
import { cutListCommand } from "../../../src/features/cutlist/cut-list-report.js";
import { drawCommand } from "../../../src/features/draw/draw.js";
import { explainCommand } from "../../../src/features/explain/explain-report.js";
import { mysteryCommand } from "../../../src/features/mystery/mystery-report.js";
import { panelCommand } from "../../../src/features/panel/panel-report.js";
import { planCommand } from "../../../src/features/plan/plan-report.js";
import { predictUncertainCommand } from "../../../src/features/predict/forecast-report.js";
import { recordCommand } from "../../../src/features/record/record-yaml.js";
import { seasonCommand } from "../../../src/features/season/season-report.js";
import { sheetAnswer, sheetPlan } from "../../../src/features/sheet/answer.js";
import { tolerancesCommand } from "../../../src/features/tolerances/tolerance-report.js";
import { DEMO } from "../../inference/demo.js";
import { inFolder } from "../../io/in-folder.js";

/*
 * Readings that no shop can have given: nothing is said from them, whatever the question. The demonstration's angles, whose posterior is in closed form, the first with a wrong digit.
 */

const [heading, ...rows] = readFileSync(join(DEMO, "trials.csv"), "utf8").trim().split("\n");
const [first, ...others] = rows.filter((row) => row.includes(",angle,"));
const wild = first!.replace(",45.6,", ",49.6,");
const folder = inFolder({
  "job.yaml": readFileSync(join(DEMO, "job.yaml"), "utf8"),
  "batch.csv": readFileSync(join(DEMO, "batch.csv"), "utf8"),
  "trials.csv": [heading, ...others, wild, ""].join("\n"),
});
const line = others.length + 2;

const silent = (): void => {};
const out = (name: string): string => join(folder, name);
const seed = 1;

const COMMANDS: Readonly<Record<string, () => unknown>> = {
  calibrate: () => calibrateCommand(folder, { seed }, silent),
  card: () => cardCommand(folder, { out: out("card.html"), seed }, silent),
  explain: () => explainCommand(folder, { saw: ["hinge-1 mitre heel open"], seed }),
  predict: () => predictUncertainCommand(folder, { cells: 200, threads: 1, seed }, silent),
  panel: () => panelCommand(folder, { panels: 20, threads: 1, quick: true, seed }, silent),
  plan: () => planCommand(folder, { aim: "gap", seed }, silent),
  season: () => seasonCommand(folder, { cells: 200, seed }, silent),
  tolerances: () => tolerancesCommand(folder, { curve: false, seed }, silent),
  cutlist: () => cutListCommand(folder, { seed }, new Date("2026-01-02")),
  batch: () => batchCommand(out("batch.csv"), { job: folder }),
  record: () => recordCommand(folder, { out: out("record.yaml"), seed }, silent),
  "draw estimates": () => drawCommand("estimates", { job: folder, out: out("e.svg"), seed }, silent),
  "draw forecast": () => drawCommand("forecast", { job: folder, out: out("f.svg"), seed }, silent),
  "draw plan": () => drawCommand("plan", { job: folder, out: out("p.svg"), seed }, silent),
  "sheet, its card": () => sheetAnswer(folder, seed, silent),
  "sheet, its plan": () => sheetPlan(folder, seed, silent),
};

async function refusal(ask: () => unknown): Promise<string> {
  try {
    await ask();
  } catch (error) {
    if (isUserError(error, "command")) return error.message;
    throw error;
  }
  return "";
}

describe("readings that no shop can have given", () => {
  it.each(Object.entries(COMMANDS))("are refused by %s, with file and row", async (_, ask) => {
    const text = await refusal(ask);
    expect(text).toMatch(/^The readings do not fit the job at all/);
    expect(text).toContain(`(${join(folder, "trials.csv")}, line ${line})`);
  });

  it("are refused where a mystery is marked by them", async () => {
    const mystery = join(inFolder({}), "mystery");
    mysteryCommand({ out: mystery, seed: 7, faults: 1 });
    const table = join(mystery, "trials.csv");
    const [names, ...taken] = readFileSync(table, "utf8").trim().split("\n");
    const angles = taken.filter((row) => row.includes(",angle,"));
    const slipped = angles[0]!.replace(
      /(,angle,,)(\d\d)/,
      (_, before, whole) => `${before}${Number(whole) + 4}`,
    );
    expect(slipped).not.toBe(angles[0]);
    writeFileSync(table, [names, slipped, ...angles.slice(1), ""].join("\n"));
    expect(await refusal(() => mysteryCommand({ mark: mystery, giveUp: true, faults: 1 }))).toContain(
      `(${table}, line 2)`,
    );
  });

  it("are left out with --without-readings", () => {
    const flags = { withoutReadings: true, seed };
    expect(cutListCommand(folder, flags, new Date("2026-01-02"))).toContain("no readings");
  });
});
