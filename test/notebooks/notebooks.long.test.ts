import { beforeAll, describe, expect, it } from "vitest";
import { drawCalibratedCell, drawEstimates } from "../../src/features/calibrate/calibration-charts.js";
import { explainCells } from "../../src/features/explain/explain-cells.js";
import { causeDrawings } from "../../src/features/explain/explanation-display.js";
import { patternBook } from "../../src/features/explain/pattern-book.js";
import { cellPlan } from "../../src/features/explain/seen-by-eye.js";
import { starterJob } from "../../src/features/new/starter-job.js";
import { predictPanel } from "../../src/features/panel/predict-panel.js";
import { drawSeason } from "../../src/features/season/season-report.js";
import { predictSeason } from "../../src/features/season/season-year.js";
import { fitSources } from "../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { asCutErrors } from "../../src/model/cell/cell-errors.js";
import { shortJointNames } from "../../src/model/cell/joint-names.js";
import { jobCell } from "../../src/model/job/job-cell.js";
import { isAngular } from "../../src/model/source-id.js";
import { predictCell } from "../../src/physics/predict/predict-cell.js";
import { sensitivityTable } from "../../src/physics/sensitivity/sensitivity.js";
import { CAUTIONS } from "../../src/render/cautions.js";
import { budgetBars } from "../../src/render/charts/budget-bars.js";
import { SVG_MIME } from "../../src/render/notebook/display.js";
import { directionText, sourceText } from "../../src/render/source-text.js";
import { DEMO, demoJob, demoReadings } from "../inference/demo.js";
import { inFolder } from "../io/in-folder.js";
import { chartsOf, drawingsOf, numbersIn, roundedText, tableRows, textsOf } from "./outputs.js";
import { HOSTILE, hostileJob, NOTEBOOKS, type Ran, runAll } from "./run-all.js";

const ANGLES = "05-how-much-does-an-angle-matter";
const DEGREE = Math.PI / 180;

let ran: Map<string, Ran>;
beforeAll(async () => {
  const hostile = hostileJob();
  ran = await runAll((name) => (name === ANGLES ? hostile : DEMO));
}, 900_000);

const of = (name: string): Ran => ran.get(name)!;
const textWith = (name: string, part: string): string => {
  const found = textsOf(of(name).notebook).find((text) => text.includes(part));
  expect(found, `${name} shows “${part}”`).toBeDefined();
  return found!;
};
const displayed = (name: string): Record<string, unknown>[] =>
  of(name).notebook.cells.flatMap((cell) =>
    cell.cell_type === "code"
      ? cell.outputs.flatMap((output) => (output.output_type === "display_data" ? [output.data] : []))
      : [],
  );
const drawingOf = (name: string, title: string): string => {
  const found = drawingsOf(of(name).notebook).find((svg) => svg.includes(title));
  expect(found, `${name} draws “${title}”`).toBeDefined();
  return found!;
};
const chartWith = (name: string, title: string): object => {
  const found = chartsOf(of(name).notebook).find((spec) => roundedText(spec).includes(title));
  expect(found, `${name} draws “${title}”`).toBeDefined();
  return found!;
};

describe.each(NOTEBOOKS)("notebook %s", (name) => {
  it("runs to its end, its checks seen to hold", () => {
    expect(textsOf(of(name).notebook).join("\n")).toMatch(/^holds: /m);
  });

  it("shows nothing that is no number, and warns before it tells to cut", () => {
    const texts = textsOf(of(name).notebook);
    for (const text of texts) expect(text).not.toMatch(/\b(?:NaN|undefined|Infinity)\b|\[object /);
    expect(texts.join("\n")).toContain(CAUTIONS[0]);
  });

  it("shows each picture as PNG too, and no form of it that nbconvert strips", () => {
    const drawn = displayed(name).filter((data) => SVG_MIME in data);
    expect(drawn.length).toBeGreaterThan(0);
    for (const data of drawn) {
      const png = Buffer.from(String(data["image/png"]), "base64");
      expect(png.subarray(1, 4).toString()).toBe("PNG");
      expect(png.readUInt32BE(16)).toBeGreaterThan(300);
      expect(data).not.toHaveProperty("image/svg+xml");
    }
  });

  it("runs every answer, folds it away, and checks it", () => {
    const answers = of(name).notebook.cells.filter(({ metadata }) =>
      (metadata.tags as string[] | undefined)?.includes("answer"),
    );
    expect(answers.length).toBeGreaterThanOrEqual(3);
    expect(answers.length).toBeLessThanOrEqual(5);
    expect(of(name).page.match(/<details class="answer">/g)).toHaveLength(answers.length);
    for (const cell of answers) {
      expect(cell.metadata.jupyter).toEqual({ source_hidden: true, outputs_hidden: true });
      expect(JSON.stringify(cell)).toContain("holds: ");
    }
  });

  it("makes a page that loads nothing", () => {
    const { page } = of(name);
    expect(page).toContain("default-src 'none'");
    expect(page).not.toMatch(/<(?:script|img|link|iframe)\b[^>]*(?:src|href)=["']?(?:https?:)?\/\//i);
  });
});

describe("00-start-here", () => {
  const name = "00-start-here";

  it("predicts the blunt hinge point as the library does", () => {
    const text = starterJob("x", "mm")["job.yaml"].replace("# as-cut:", "as-cut:");
    const job = loadJob(inFolder({ "job.yaml": text }));
    const cell = jobCell(job);
    const { probes } = predictCell(cell, asCutErrors(cell, job.asCut!));
    const names = shortJointNames(cell);
    const rows = textWith(name, "hinge-1 tip on wall-left  ").split("\n").slice(2);
    expect(rows).toHaveLength(6);
    for (const row of rows) {
      const [, joint, at, gap] = /^(\S.*?) {2,}(toe|heel) +([+−\d.]+)$/.exec(row)!;
      const probe = probes.find((one) => names.get(one.joint) === joint && one.at === at)!;
      expect(numbersIn(gap!)[0]).toBeCloseTo(probe.gap, 3);
    }
  });

  it("says of both mistakes where they are", () => {
    const text = textWith(name, "2 things to mend");
    expect(text).toMatch(/my-screen\/job\.yaml, line \d+, column \d+: strip\n/);
    expect(text).toMatch(/jigs\.point-45\.fence/);
  });
});

describe("01-calibrate-a-jig", () => {
  const name = "01-calibrate-a-jig";
  const fit = fitSources(demoJob, demoReadings);

  it("shows the estimates that the library finds, rounded to their uncertainty", () => {
    const rows = tableRows(textWith(name, "estimate ± U"));
    expect(rows.size).toBe(fit.sources.length);
    for (const source of fit.sources) {
      const size = isAngular(source.id.kind) ? DEGREE : 1;
      const [estimate, U] = numbersIn(rows.get(sourceText(source.id))![0]!);
      const expanded = (2 * source.standardUncertainty) / size;
      expect(Math.abs(U! / expanded - 1)).toBeLessThan(0.2);
      expect(Math.abs(estimate! - source.estimate / size)).toBeLessThan(expanded / 2);
    }
  });

  it("draws them, and the cell they make, to four figures as the library does", async () => {
    const calibration = { job: demoJob, fit } as Parameters<typeof drawCalibratedCell>[0];
    const estimates = await drawEstimates(calibration, { width: 720 });
    expect(roundedText(chartWith(name, "What the readings say"))).toBe(roundedText(estimates.vegaLite ?? {}));
    const before = await drawCalibratedCell(calibration, "before");
    expect(drawingsOf(of(name).notebook)).toContain(before.svg);
  });

  it("shows the set-up card with its moves", () => {
    expect(textWith(name, "SET-UP CARD")).toMatch(/ADJUST[\s\S]*Then check: [\s\S]*TAKE CARE/);
  });
});

describe("04-why-does-it-gap", () => {
  const name = "04-why-does-it-gap";
  const finest = demoJob.instruments.find((one) => one.name === "shim-strips")!;
  const truth = Float64Array.from(jobSources(demoJob), ({ id, priorSd }) =>
    sourceText(id) === "stop of hinge-mitre" ? -priorSd : 0,
  );
  const seen = simulateTrials(demoJob, cellPlan(jobCell(demoJob), finest), { truth, seed: 7 });
  const wanted = {
    bench: "none",
    what: "length",
    subject: "hinge-1",
    at: null,
    instrument: "caliper",
  } as const;
  const lengths = ["p1", "p2"].map((trial) => ({ ...seen[0]!, ...wanted, id: trial, trial }));
  const measured = simulateTrials(demoJob, lengths, { truth, seed: 8 });
  const explanation = explainCells(demoJob, [...seen, ...measured]);

  it("shows what the library finds of the mitre stop", () => {
    const rows = tableRows(textWith(name, "95 % interval"));
    const [low, high] = numbersIn(rows.get("stop of hinge-mitre")![0]!);
    const found = explanation.sources.find(({ id }) => sourceText(id) === "stop of hinge-mitre")!;
    // Printed to two decimals.
    expect(Math.abs(low! - found.interval[0])).toBeLessThan(0.006);
    expect(Math.abs(high! - found.interval[1])).toBeLessThan(0.006);
  });

  it("draws the likeliest as the library does, and no other cause in its place", () => {
    const [drawing] = causeDrawings(explanation);
    const drawn = drawingsOf(of(name).notebook);
    expect(drawn).toContain(drawing!.svg);
    const alone = causeDrawings(explainCells(demoJob, seen))[0]!;
    expect(drawn).not.toContain(alone.svg);
  });

  it("draws pages of the pattern book", () => {
    const book = patternBook(demoJob);
    for (const page of ["ramp-of-point-67-sharp", "ramp-of-point-67-blunt"])
      expect(drawingsOf(of(name).notebook)).toContain(book.find((one) => one.name === page)!.draw().svg);
  });
});

describe("07-through-the-year", () => {
  const name = "07-through-the-year";
  const year = predictSeason(demoJob);

  it("shows the year that the library finds, month by month", () => {
    const rows = tableRows(textWith(name, "gap alone (mm)"));
    expect(rows.size).toBe(12);
    for (const { climate, moisture, infill, gapAlone, closed } of year.states) {
      const shown = rows.get(climate.name)!.map((text) => numbersIn(text));
      expect(shown[0]![0]).toBeCloseTo(moisture, 1);
      expect(shown[1]![0]).toBeCloseTo(infill.expected, 3);
      expect(shown[3]![0]).toBeCloseTo(gapAlone.expected, 3);
      expect(shown[6]![0]! / 100).toBeCloseTo(closed.value, 2);
    }
    expect(textWith(name, "Widest in")).toContain(`Widest in ${year.worst.climate.name}`);
  });

  it("draws it to four figures, and says how far to trust it", async () => {
    const picture = await drawSeason(year, { width: 720 });
    expect(roundedText(chartWith(name, "The screen through the year"))).toBe(
      roundedText(picture.vegaLite ?? {}),
    );
    expect(textWith(name, "lags behind")).toContain("no source");
  });
});

describe("06-the-panel", () => {
  const name = "06-the-panel";

  it("shows what the library predicts of the panel, by numbers and by map", async () => {
    const trusted = await predictPanel(demoJob, { panels: 2000, ways: false, budget: false });
    const [closes, , refits, of] = tableRows(textWith(name, "if cells failed one by one")).get(
      "jigs as trusted",
    )!;
    // Told to a tenth of a per cent, of 2,000 panels: half a tenth off where it lies between two.
    expect(Math.abs(numbersIn(closes!)[0]! / 100 - trusted.closes.value)).toBeLessThan(0.000501);
    expect(numbersIn(refits!)[0]).toBeCloseTo(trusted.refits.mean.value, 1);
    expect(Number(of)).toBe(trusted.places.length);
    const map = drawingOf(name, "Which cells do not close");
    // Of jigs that have been set: far fewer fail, and one place may stand out or none.
    const [, least, most] =
      map.match(
        /for 5 × 4 cells, from ([\d.]+)\s% to ([\d.]+)\s%(?:; largest in row [1-5], column [1-4])?\.<\/desc>/,
      ) ?? [];
    expect(Number(least)).toBeGreaterThan(0);
    expect(Number(most)).toBeGreaterThan(Number(least));
    expect(Number(most) / 100).toBeLessThan(trusted.refits.mean.value / trusted.places.length / 2);
  });

  it("has the laps' closed forms", () => {
    const rows = tableRows(textWith(name, "length over 25 laps"));
    expect(rows.get("indexed")!.map(Number)).toEqual([1, 0, 2, 3, 5]);
    expect(numbersIn(rows.get("stop")![0]!)[0]).toBeCloseTo(Math.SQRT2, 2);
  });
});

describe(ANGLES, () => {
  const table = sensitivityTable(jobCell(demoJob));

  it("shows what each error does as the library has it", () => {
    const rows = tableRows(textWith(ANGLES, "deepest press (mm)").replaceAll("\u00A0", " "));
    expect(rows.size).toBe(table.length);
    for (const { source, word, widestGap, deepestPress } of table) {
      const [size, spoken] = source.unit === "rad" ? [DEGREE, "1°"] : [0.1, "0.1 mm"];
      const [gap, press] = rows.get(`${directionText(source.id)}, ${spoken} ${word}`)!;
      expect(Number(gap)).toBeCloseTo(widestGap * size, 3);
      expect(Number(press)).toBeCloseTo(deepestPress * size, 3);
    }
  });

  it("draws them to four figures", () => {
    const spec = chartWith(ANGLES, "What one unit of each error opens") as { description: string };
    const worst = new Map<string, { label: string; value: number }>();
    for (const { source, word, widestGap } of table) {
      const [size, spoken] = source.unit === "rad" ? [DEGREE, "1°"] : [0.1, "0.1 mm"];
      const value = widestGap * size;
      if (value > 1e-9 && value > (worst.get(directionText(source.id))?.value ?? 0))
        worst.set(directionText(source.id), {
          label: `${directionText(source.id)}, ${spoken} ${word}`,
          value,
        });
    }
    const own = budgetBars([...worst.values()], {
      unit: "mm",
      title: "What one unit of each error opens",
      axisTitle: "Widest gap of the cell",
      width: 720,
    });
    expect(spec.description).toBe(own.description);
    expect(roundedText(spec)).toBe(roundedText(own));
  });

  it("answers its exercises as one does on paper", () => {
    const face = (strip: number, degrees: number): number => strip / 2 / Math.cos(degrees * DEGREE);
    expect(textWith(ANGLES, "Face length: half the stock")).toContain(
      `**${(face(6, 45) * Math.tan(DEGREE)).toFixed(3)} mm**`,
    );
    const leaf = textWith(ANGLES, "The leaf goes in from");
    for (const degrees of [45, 67.5])
      expect(leaf).toContain(`**${(0.05 / face(3, degrees) / DEGREE).toFixed(1)}°**`);
    // Half the opening is the lever of a wall that turns about its middle.
    const racked = textWith(ANGLES, "The racked grid opens");
    expect(numbersIn(racked)[0]).toBeCloseTo((60 / 2) * 0.1 * DEGREE, 3);
  });

  it("keeps a hostile title of the job inert on its page", () => {
    const { page } = of(ANGLES);
    expect(page).toContain("&lt;script&gt;alert(1)");
    expect(page).not.toContain("<script>alert");
    expect(page).not.toMatch(/<img[^>]*onerror|example\.org\/x\.png"/);
    expect(HOSTILE).toContain("onerror");
  });
});
