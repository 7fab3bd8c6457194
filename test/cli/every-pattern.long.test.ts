import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { batchCommand } from "../../src/features/batch/batch-report.js";
import { calibrateCommand, cardCommand } from "../../src/features/calibrate/calibration-report.js";
import { drawCommand } from "../../src/features/draw/draw.js";
import { explainCommand } from "../../src/features/explain/explain-report.js";
import { gaugeCommand } from "../../src/features/gauge/gauge-report.js";
import { mysteryCommand } from "../../src/features/mystery/mystery-report.js";
import { newCommand } from "../../src/features/new/new-job.js";
import { patternCommand } from "../../src/features/pattern/pattern-report.js";
import { planCommand } from "../../src/features/plan/plan-report.js";
import { jobToPlay } from "../../src/features/play/live-page.js";
import { playPage } from "../../src/features/play/play-page.js";
import { predictUncertainCommand } from "../../src/features/predict/forecast-report.js";
import { predictCommand } from "../../src/features/predict/prediction-report.js";
import { recordCommand } from "../../src/features/record/record-yaml.js";
import { simulateCommand } from "../../src/features/simulate/simulate.js";
import { forecastCells } from "../../src/inference/forecast/forecast-cells.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { shippedPatterns } from "../../src/io/patterns/find-pattern.js";
import { jobCell } from "../../src/model/job/job-cell.js";
import { inFolder } from "../io/in-folder.js";

const silent = (): void => {};

/** The rows that stand in a starter job as an example, as a table. */
function exampleTable(folder: string): string {
  const lines = readFileSync(join(folder, "job.yaml"), "utf8")
    .split("\n")
    .map((line) => line.replace(/^# {3}/, ""));
  return `${lines.slice(lines.findIndex((line) => line.startsWith("id,trial,"))).join("\n")}\n`;
}

describe.each(shippedPatterns())("every command on a starter job of %s", (pattern) => {
  const folder = join(inFolder({}), pattern);
  const at = (name: string): string => join(folder, name);
  const [kind] = (() => {
    expect(newCommand(folder, { units: "mm", pattern })).toContain("Written:");
    writeFileSync(at("trials.csv"), exampleTable(folder));
    return jobCell(loadJob(folder)).pieces.map((piece) => piece.kind);
  })();
  const job = loadJob(folder);
  const cell = jobCell(job);

  it("new in inches too", () => {
    const inches = join(inFolder({}), "inches");
    newCommand(inches, { units: "in", pattern });
    expect(predictCommand(inches, {})).toContain("THE CELL CLOSES");
  });

  it("predict, in both orders", () => {
    for (const order of ["exact", "first"]) {
      const blunt = readFileSync(at("job.yaml"), "utf8").replace("# as-cut:", `order: ${order}\nas-cut:`);
      const tried = inFolder({ "job.yaml": blunt });
      expect(predictCommand(tried, { details: true })).toContain(
        `${order === "exact" ? "Exact" : "First"} order`,
      );
      expect(JSON.parse(predictCommand(tried, { json: true })).widestGap).toBeGreaterThan(0.005);
    }
  });

  it("predict --uncertain, in both orders", async () => {
    for (const order of ["first", "exact"] as const) {
      // The whole command with its budget takes seconds a pattern; once is enough.
      if (pattern === "asanoha-triangular" && order === "first")
        expect(
          await predictUncertainCommand(folder, { trials: 400, order, threads: 1, details: true }, () => {}),
        ).toMatch(/closes +\d/);
      const { cell: told } = await forecastCells(job, {
        trials: 400,
        order,
        threads: 1,
        budget: false,
        bothOrders: 0,
      });
      expect(told.closes.value).toBeGreaterThan(0);
    }
  });

  it("calibrate and card", () => {
    const text = calibrateCommand(folder, { seed: 1, details: true }, silent);
    expect(text).toContain("WHAT THE TRIAL CUTS SAY");
    for (const { name } of job.jigs) expect(text).toContain(`ramp of ${name}`);
    // A card stands on the same fit; once is enough.
    if (pattern !== "asanoha-triangular") return;
    cardCommand(folder, { out: at("card.html"), seed: 1 }, silent);
    expect(readFileSync(at("card.html"), "utf8")).toContain(pattern);
  });

  // Ten jigs and thirteen set-ups take the plan of a rectangular asanoha a quarter of a minute; so do its mystery's readings.
  it.skipIf(pattern === "asanoha-rectangular")("plan, and simulate what it planned", () => {
    planCommand(folder, { aim: "gap", trials: 1, seed: 1, out: at("plan.csv") }, silent);
    writeFileSync(at("truth.yaml"), `seed: 3\nramps: { ${job.jigs[0]!.name}: 0.5 deg }\n`);
    expect(simulateCommand(folder, {}).split("\n").length).toBeGreaterThan(1);
  });

  it("explain, from what an eye saw", async () => {
    const mitre = cell.joints.find(({ first }) => cell.faces[first]!.cut?.role === "mitre")!;
    const text = await explainCommand(folder, { saw: [`${mitre.name} heel open`], seed: 1 });
    expect(text).toContain("WHY DOES IT GAP?");
    if (cell.walls.length === 3) expect(text).not.toContain("grid racked");
  });

  it("draw: the cell, and the pattern book", async () => {
    const list = await drawCommand(undefined, { job: folder, seed: 1 }, silent);
    const ramp = `ramp-of-${job.jigs[0]!.name}-sharp`;
    expect(list).toContain(ramp);
    for (const name of ["cell", ramp]) {
      const text = await drawCommand(name, { job: folder, out: at(`${name}.svg`), seed: 1 }, silent);
      expect(text).toContain("Drawn:");
      expect(readFileSync(at(`${name}.svg`), "utf8")).toContain("<svg");
    }
  });

  it("page: the cell, its sliders, and racking where a grid can rack", () => {
    const page = playPage(jobToPlay(job), "void 0;");
    for (const { name } of cell.pieces) expect(page).toContain(name);
    for (const { name } of job.jigs) expect(page).toContain(`Ramp of ${name}`);
    expect(page.includes("Grid racked")).toBe(cell.walls.length === 4);
  });

  it.skipIf(pattern === "asanoha-rectangular")("mystery, made and marked", () => {
    const out = at("mystery");
    mysteryCommand({ seed: 4, faults: 1, pattern, out });
    const made = loadJob(out);
    expect(made.pattern).toBe(pattern);
    writeFileSync(
      join(out, "answer.yaml"),
      `answer: [{ cause: ramp of ${made.jigs[0]!.name}, size: 0.5 deg }]\n`,
    );
    expect(mysteryCommand({ mark: out, faults: 1 })).toContain(`ramp of ${made.jigs[0]!.name}`);
  });

  it("batch, gauge and record", () => {
    const lengths = [0.02, -0.01, 0, 0.03, 0.01, -0.02, 0.015, 0.005];
    const nominal = cell.pieces[0]!.length;
    const batch = [
      "id,piece,length,unit,note",
      ...lengths.map((x, i) => `h${i},${kind},${(nominal + x).toFixed(3)},mm,`),
    ];
    writeFileSync(at("batch.csv"), `${batch.join("\n")}\n`);
    expect(batchCommand(at("batch.csv"), { job: folder })).toContain("THE BATCH");
    const rows = ["A", "B"].flatMap((reader) =>
      [1, 2, 3].flatMap((part) =>
        [0, 1].map(
          (k) => `caliper,${kind}-${part},${reader},${(nominal + part / 50 + k / 100).toFixed(2)},mm,`,
        ),
      ),
    );
    writeFileSync(at("gauge.csv"), `instrument,part,reader,value,unit,note\n${rows.join("\n")}\n`);
    expect(gaugeCommand(at("gauge.csv"), {})).toContain("caliper");
    recordCommand(folder, { out: at("rec.yaml"), seed: 1 }, silent);
    const next = {
      "job.yaml": `${readFileSync(at("job.yaml"), "utf8")}\nrecords: [rec.yaml]\n`,
      "rec.yaml": readFileSync(at("rec.yaml"), "utf8"),
    };
    const stopOf = (one: typeof job) =>
      one.setUps.find(({ stop }) => stop?.priorMean !== undefined && stop.priorMean !== 0);
    expect(stopOf(loadJob(inFolder(next)))).toBeDefined();
    // The same jigs in another pattern's cell: the stop's record is of another cell.
    if (pattern !== "asanoha-square") {
      const other = {
        ...next,
        "rec.yaml": next["rec.yaml"]
          .replaceAll(`cell: "${pattern}`, 'cell: "other')
          .replaceAll(`cell: ${pattern}`, "cell: other"),
      };
      expect(stopOf(loadJob(inFolder(other)))).toBeUndefined();
    }
  });

  it("pattern: told and drawn", async () => {
    const text = await patternCommand(pattern, { out: at("pattern.svg") });
    expect(text).toContain(`It closes: ${cell.joints.length} joints meet`);
    expect(existsSync(at("pattern.svg"))).toBe(true);
  });
});
