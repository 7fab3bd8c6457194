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
import { jobCell } from "../../src/model/job/job-cell.js";
import { isAngular } from "../../src/model/source-id.js";
import { predictCell } from "../../src/physics/predict/predict-cell.js";
import { sensitivityTable } from "../../src/physics/sensitivity/sensitivity.js";
import { CAUTIONS } from "../../src/render/cautions.js";
import { budgetBars } from "../../src/render/charts/budget-bars.js";
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
}, 240_000);

const of = (name: string): Ran => ran.get(name)!;
const textWith = (name: string, part: string): string => {
  const found = textsOf(of(name).notebook).find((text) => text.includes(part));
  expect(found, `${name} shows “${part}”`).toBeDefined();
  return found!;
};
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
    const rows = textWith(name, "hinge-1.start-left | wall-left").split("\n").slice(2);
    expect(rows).toHaveLength(6);
    for (const row of rows) {
      const [, joint, at, gap] = /^(\S+ \| \S+) +(toe|heel) +([+−\d.]+)$/.exec(row)!;
      const probe = probes.find((one) => one.joint === joint!.replace(" | ", "|") && one.at === at)!;
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
    const calibration = { job: demoJob, fit } as Parameters<typeof drawEstimates>[0];
    const estimates = await drawEstimates(calibration);
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
  const plan = cellPlan(jobCell(demoJob), finest);
  const explanation = explainCells(demoJob, simulateTrials(demoJob, plan, { truth, seed: 7 }));

  it("shows the causes and sizes that the library finds", () => {
    const rows = tableRows(textWith(name, "probability (%)"));
    const [first] = explanation.hypotheses;
    const [probability, before, size] = rows.get("stop of hinge-mitre")!.map((text) => numbersIn(text)[0]);
    expect(probability! / 100).toBeCloseTo(first!.probability, 3);
    expect(before! / 100).toBeCloseTo(first!.prior, 3);
    expect(size).toBeCloseTo(first!.sizes[0]!.size, 3);
  });

  it("draws the likeliest to four figures, and a page of the pattern book", () => {
    const [drawing] = causeDrawings(explanation);
    expect(drawingsOf(of(name).notebook)).toContain(drawing!.svg);
    const page = patternBook(demoJob).find((one) => one.name === "stop-of-hinge-seat-deep")!;
    expect(drawingsOf(of(name).notebook)).toContain(page.draw().svg);
  });

  it("shows a cell that tells nothing, and names what would have seen more", () => {
    expect(textWith(name, "Readings that something goes into")).toMatch(/\*\*0\*\* of 22/);
    expect(tableRows(textWith(name, "what would see it")).size).toBe(10);
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
    const picture = await drawSeason(year);
    expect(roundedText(chartWith(name, "The screen through the year"))).toBe(
      roundedText(picture.vegaLite ?? {}),
    );
    expect(textWith(name, "lags behind")).toContain("no source");
  });
});

describe("06-the-panel", () => {
  const name = "06-the-panel";

  it("shows what the library predicts of the panel, by numbers and by map", async () => {
    const trusted = await predictPanel(demoJob, { panels: 4000, ways: false, budget: false });
    const [closes, , refits, of] = tableRows(textWith(name, "if cells failed one by one")).get(
      "jigs as trusted",
    )!;
    expect(numbersIn(closes!)[0]! / 100).toBeCloseTo(trusted.closes.value, 3);
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
    });
    expect(spec.description).toBe(own.description);
    expect(roundedText(spec)).toBe(roundedText(own));
  });

  it("answers its exercises as one does on paper", () => {
    const face = (strip: number, degrees: number): number => strip / 2 / Math.cos(degrees * DEGREE);
    expect(textWith(ANGLES, "Face length 3 mm")).toContain(
      `**${(face(6, 45) * Math.tan(DEGREE)).toFixed(4)} mm**`,
    );
    const leaf = textWith(ANGLES, "The leaf goes in from");
    for (const degrees of [45, 67.5])
      expect(leaf).toContain(`**${(0.05 / face(3, degrees) / DEGREE).toFixed(1)}°**`);
    // Half the opening is the lever of a wall that turns about its middle.
    const racked = textWith(ANGLES, "The racked grid opens");
    expect(numbersIn(racked)[0]).toBeCloseTo((60 / 2) * 0.1 * DEGREE, 3);
  });

  it("folds the answers away on the page", () => {
    const { page, notebook } = of(ANGLES);
    expect(page.match(/<details class="answer">/g)).toHaveLength(5);
    const answers = notebook.cells.filter(({ metadata }) =>
      (metadata.tags as string[] | undefined)?.includes("answer"),
    );
    expect(answers).toHaveLength(5);
    for (const cell of answers)
      expect(cell.metadata.jupyter).toEqual({ source_hidden: true, outputs_hidden: true });
  });

  it("keeps a hostile title of the job inert on its page", () => {
    const { page } = of(ANGLES);
    expect(page).toContain("&lt;script&gt;alert(1)");
    expect(page).not.toContain("<script>alert");
    expect(page).not.toMatch(/<img[^>]*onerror|example\.org\/x\.png"/);
    expect(HOSTILE).toContain("onerror");
  });
});
