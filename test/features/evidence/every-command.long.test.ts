import { readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it, vi } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { batchCommand } from "../../../src/features/batch/batch-report.js";
import { calibrateCommand, cardCommand } from "../../../src/features/calibrate/calibration-report.js";
import { cutListCommand } from "../../../src/features/cutlist/cut-list-report.js";
import { explainCommand } from "../../../src/features/explain/explain-report.js";
import { panelCommand } from "../../../src/features/panel/panel-report.js";
import { planCommand } from "../../../src/features/plan/plan-report.js";
import { predictUncertainCommand } from "../../../src/features/predict/forecast-report.js";
import { recordCommand } from "../../../src/features/record/record-yaml.js";
import { seasonCommand } from "../../../src/features/season/season-report.js";
import { tolerancesCommand } from "../../../src/features/tolerances/tolerance-report.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobPosterior, withScatters } from "../../../src/inference/job-posterior.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadRecord } from "../../../src/io/records/load-record.js";
import { loadTrialPlan, loadTrials } from "../../../src/io/trials/load-trials.js";
import { trialsCsv } from "../../../src/io/trials/trials-csv.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading, ReadQuantity } from "../../../src/model/readings.js";
import { DEMO } from "../../inference/demo.js";
import { inFolder } from "../../io/in-folder.js";

/*
 * The fit, the decision and the calibration are made once for each job, readings and seed, whichever command asks: a command that asked for others would get others.
 */
vi.mock(import("../../../src/inference/job-posterior.js"), async (original) => {
  const actual = await original();
  const once = remembering<ReturnType<typeof actual.jobPosterior>>();
  const jobPosterior: typeof actual.jobPosterior = (job, readings, { seed = 1 } = {}) =>
    once(JSON.stringify([job, readings, seed]), () =>
      actual.jobPosterior(job, readings, { seed, alsoWithoutPriors: true, keepStates: true }),
    );
  return { ...actual, jobPosterior };
});
vi.mock(import("../../../src/inference/card-decision.js"), async (original) => {
  const actual = await original();
  const decided = new WeakMap<
    object,
    ReturnType<typeof remembering<ReturnType<typeof actual.cardDecision>>>
  >();
  const cardDecision: typeof actual.cardDecision = (job, fit, specimen, options) => {
    const once = decided.get(fit) ?? remembering();
    decided.set(fit, once);
    return once(JSON.stringify([job, options.seed]), () => actual.cardDecision(job, fit, specimen, options));
  };
  return { ...actual, cardDecision };
});
vi.mock(import("../../../src/inference/calibrate-job.js"), async (original) => {
  const actual = await original();
  const once = remembering<ReturnType<typeof actual.calibrateJob>>();
  const calibrateJob: typeof actual.calibrateJob = (job, readings, options = {}) =>
    once(JSON.stringify([job, readings, options.seed, options.draws]), () =>
      actual.calibrateJob(job, readings, options),
    );
  return { ...actual, calibrateJob };
});
const { remembering } = vi.hoisted(() => ({
  remembering<T>() {
    const known = new Map<string, T>();
    return (key: string, work: () => T): T => {
      const found = known.get(key) ?? work();
      known.set(key, found);
      return found;
    };
  },
}));

/*
 * One folder, one answer: every command is asked the same question in its own way, on ten folders. Shops are invented: the demonstration's job with errors drawn from what it trusts, and readings of
 * different kinds and numbers. The walls of cells are perfect and the panel is one cell in a perfect grid, so that `panel` asks of the cell that `predict` asks of.
 */

const FOLDERS = 10;
const SEED = 3;
const silent = (): void => {};
/** Standard errors that two answers may lie apart: of some two hundred comparisons hardly one goes beyond by chance. */
const APART = 4.5;

const text = readFileSync(join(DEMO, "job.yaml"), "utf8")
  .replace(/^grid:.*$/m, "grid: { offset: 0, turn: 0 }")
  .replace(/^panel:.*\n(?: .*\n)+/m, "")
  .concat(
    "\npanel:\n  rows: 1\n  columns: 1\n  border: { thickness: 12, turn: 0 }\n  laps: { way: stop, place: 0, width: 4.02 }\n  racked: 0\n",
  );

/** Which readings of the demonstration's plan each shop takes: all, the linear ones, those of trial pieces, half of them. */
const KINDS: readonly ((reading: Reading, i: number) => boolean)[] = [
  () => true,
  ({ what }) => what !== "gap",
  ({ bench }) => bench !== "cell",
  (_, i) => i % 2 === 0,
  ({ what }) => what === "angle" || what === "length",
];

interface Shop {
  readonly folder: string;
  readonly job: Job;
}

function shop(k: number): Shop {
  const empty = inFolder({ "job.yaml": text });
  const job = loadJob(empty);
  const keep = KINDS[k % KINDS.length]!;
  const plan = loadTrialPlan(join(DEMO, "plan.csv"), job).filter(keep);
  const stream = createStream(100 + k);
  const truth = Float64Array.from(jobSources(job), ({ priorSd }) => 0.7 * priorSd * stream.normal());
  const table = trialsCsv(job, simulateTrials(job, plan, { truth, seed: 50 + k }));
  const batch = readFileSync(join(DEMO, "batch.csv"), "utf8");
  const folder = inFolder({ "job.yaml": text, "trials.csv": table, "batch.csv": batch });
  return { folder, job: loadJob(folder) };
}

/** A figure with its standard error. */
interface Figure {
  readonly value: number;
  readonly error: number;
}
const bounded = ({ value, low, high }: Bounded): Figure => ({
  value,
  error: (high - low) / 2 / 1.96,
});

interface SourceJson {
  readonly id: { readonly kind: string; readonly of: string; readonly round?: string };
  readonly estimate: number;
  readonly standardUncertainty: number;
  readonly interval95: readonly [number, number];
}

interface Bounded {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}
interface CalibrationJson {
  readonly basis: object;
  readonly sources: readonly (SourceJson & { readonly current: { readonly estimate: number } })[];
  readonly moves: readonly {
    readonly adjuster: string;
    readonly verdict: string;
    readonly readPays: boolean;
    readonly read: {
      readonly text: string;
      readonly readings: readonly { readonly what: ReadQuantity; readonly instrument: string }[];
      readonly value: number;
      readonly cost: number;
    } | null;
  }[];
  readonly before: { readonly closes: number; readonly closesUncertainty: number };
  readonly after: { readonly closes: number; readonly closesUncertainty: number };
}
interface ForecastJson {
  readonly basis: object;
  readonly cell: { readonly closes: Bounded; readonly beyondGap: Bounded };
  readonly sources: readonly {
    readonly id: SourceJson["id"];
    readonly of: readonly { readonly mean: number; readonly deviation: number }[];
  }[];
}

interface PlanJson {
  readonly sources: readonly { readonly id: SourceJson["id"]; readonly before: number }[];
  readonly beforeMoving: readonly { readonly text: string }[];
  readonly trials: readonly { readonly readings: readonly { readonly what: string }[] }[];
}

const plans = remembering<PlanJson>();
const planned = (folder: string): PlanJson =>
  plans(folder, () =>
    JSON.parse(planCommand(folder, { aim: "gap", trials: 2, seed: SEED, json: true }, silent)),
  );

interface ExplanationJson {
  readonly sources: readonly {
    readonly id: SourceJson["id"];
    readonly estimate: number;
    readonly sign: number;
  }[];
}

/** What `explain` says of a folder; `null` where no cell was read, which it says. */
async function explanation(folder: string): Promise<ExplanationJson | null> {
  if (readFileSync(join(folder, "trials.csv"), "utf8").includes(",cell,"))
    return JSON.parse(await explainCommand(folder, { json: true, seed: SEED }));
  await expect(explainCommand(folder, { json: true, seed: SEED })).rejects.toThrow(/nothing to explain/);
  return null;
}

const plain = (words: string): string => words.replaceAll(/\s+/g, " ");

function agree(answers: Readonly<Record<string, Figure>>): void {
  const [[first, one], ...others] = Object.entries(answers) as [[string, Figure], ...[string, Figure][]];
  for (const [name, other] of others) {
    const apart = Math.abs(other.value - one.value);
    expect(apart, `${first} says ${one.value}, ${name} ${other.value}`).toBeLessThan(
      APART * Math.hypot(one.error, other.error) + 1e-9,
    );
  }
}

describe.each(Array.from({ length: FOLDERS }, (_, k) => k))("folder %i", (k) => {
  const options = { seed: SEED, json: true, threads: 1 } as const;
  let [folder, job]: [string, Job] = ["", {} as Job];
  let calibration: CalibrationJson;
  let forecasts: readonly ForecastJson[];
  beforeAll(async () => {
    ({ folder, job } = shop(k));
    calibration = JSON.parse(calibrateCommand(folder, { json: true, seed: SEED }, silent));
    const predicted = async (moved: boolean): Promise<ForecastJson> =>
      JSON.parse(
        await predictUncertainCommand(folder, { ...options, cells: 4000, moved }, silent, {
          budget: false,
        }),
      );
    forecasts = [await predicted(false), await predicted(true)];
  }, 900_000);

  it.each([
    [false, "before"],
    [true, "after"],
  ] as const)("chance to close, moved: %s", async (moved, state) => {
    const card = calibration[state];
    const forecast = forecasts[Number(moved)]!;
    const panel = JSON.parse(
      await panelCommand(folder, { ...options, panels: 600, quick: true, moved }, silent),
    );
    expect(forecast.basis).toEqual(calibration.basis);
    expect(panel.basis).toEqual(calibration.basis);
    expect(panel.jigs).toBe(moved ? "after the moves" : "as they stand");
    agree({
      card: { value: card.closes, error: card.closesUncertainty },
      predict: bounded(forecast.cell.closes),
      panel: bounded(panel.closes),
    });
    // A screen that has not left the shop has the gaps of the cells to come.
    const season = JSON.parse(
      await seasonCommand(folder, { json: true, seed: SEED, cells: 2000, moved }, silent),
    );
    const { beyondGap } = forecast.cell;
    agree({
      predict: bounded({ value: 1 - beyondGap.value, low: 1 - beyondGap.high, high: 1 - beyondGap.low }),
      season: bounded(season.inShop.closed),
    });
  });

  it("sign and size of each source", async () => {
    const forecast = forecasts[0]!;
    const explained = await explanation(folder);
    const out = join(folder, "record.yaml");
    recordCommand(folder, { out, seed: SEED }, silent);
    const { ramps, stops } = loadRecord(out);
    const plan = planned(folder);
    for (const {
      id,
      estimate,
      current,
      standardUncertainty: u,
      interval95: [low, high],
    } of calibration.sources) {
      const why = explained?.sources.find((source) => JSON.stringify(source.id) === JSON.stringify(id));
      if (why) expect(why.estimate).toBeCloseTo(current.estimate, 9);
      if (why) expect(why.sign).toBe(low > 0 ? 1 : high < 0 ? -1 : 0);
      const told = forecast.sources.find((source) => JSON.stringify(source.id) === JSON.stringify(id));
      // A source that no cut of the cell answers to is in no forecast.
      if (told) expect(told.of[0]!.mean).toBeCloseTo(estimate, 6);
      if (told) expect(told.of[0]!.deviation).toBeCloseTo(u, 6);
      const kept = id.kind === "ramp" ? ramps.get(id.of) : id.kind === "stop" ? stops.get(id.of) : undefined;
      const unit = id.kind === "ramp" ? Math.PI / 180 : 1;
      if (kept) expect(kept.error / unit).toBeCloseTo(estimate, 5);
      const planned = plan.sources.find((source) => JSON.stringify(source.id) === JSON.stringify(id));
      // The plan draws its own shops: standard deviations of a hundred draws or more agree within a third.
      if (planned) expect(Math.abs(Math.log(planned.before / u))).toBeLessThan(0.35);
      if (low > 0 || high < 0) {
        const sign = Math.sign(low + high);
        if (told) expect(Math.sign(told.of[0]!.mean)).toBe(sign);
        if (kept) expect(Math.sign(kept.error)).toBe(sign);
      }
    }
  });

  it("what to read next", () => {
    const waiting = calibration.moves.filter(({ verdict, readPays }) => verdict === "not known" && readPays);
    const first = [
      ...new Map(waiting.flatMap(({ read }) => (read ? [[read.text, read] as const] : []))).values(),
    ];
    const named = first.sort((a, b) => b.value - b.cost - (a.value - a.cost)).map(({ text: name }) => name);
    namedFirst += named.length;
    // Only what is not known is waited for.
    for (const { verdict, read } of calibration.moves) if (verdict !== "not known") expect(read).toBeNull();
    const plan = planned(folder);
    expect(plan.beforeMoving.map(({ text: name }) => name)).toEqual(named);
    // What the shop's instruments take as the job declares them comes first in the plan.
    const declared = first.filter(({ readings }) =>
      readings.every(({ instrument, what }) =>
        job.instruments.some(({ name, reads }) => name === instrument && reads.includes(what)),
      ),
    );
    const asked = plan.trials[0]?.readings.map(({ what }) => what);
    if (declared[0]) expect(asked).toEqual(declared[0].readings.map(({ what }) => what));
    const answer = plain(calibrateCommand(folder, { seed: SEED }, silent));
    for (const name of named) expect(answer).toContain(`Read ${name}.`);
    if (named.length > 0) expect(answer).not.toContain("Read next:");
    const next = /Read next: (.*?)\. For \d+ cells/.exec(answer)?.[1];
    if (next !== undefined) expect(calibration.moves.map(({ read }) => read?.text)).toContain(next);
    const out = join(folder, "card.html");
    cardCommand(folder, { out, seed: SEED }, silent);
    const card = plain(readFileSync(out, "utf8").replaceAll(/<[^>]*>/g, " "));
    const onCard = new Set([...card.matchAll(/First read (.*?)\. /g)].map(([, name]) => name));
    expect([...onCard].sort()).toEqual(named.toSorted());
  });

  it("spares, gauge sizes and tolerances", async () => {
    const posterior = jobPosterior(job, loadTrials(folder, job), { seed: SEED });
    const found = withScatters(job, posterior).betweenCutSd;
    // A job that states the scatter that the readings show, without readings, needs the same spares.
    const degrees = (rad: number): string => `${(rad * 180) / Math.PI} deg`;
    const stating = text.replace(
      /^scatter:.*$/m,
      `scatter: { angle: ${degrees(found.angle)}, length: ${found.length} mm, thickness: ${found.thickness} mm }`,
    );
    const today = new Date("2026-01-02");
    const own = JSON.parse(cutListCommand(folder, { json: true, seed: SEED }, today));
    const stated = JSON.parse(
      cutListCommand(inFolder({ "job.yaml": stating }), { json: true, seed: SEED }, today),
    );
    expect(own.basis).toEqual(calibration.basis);
    for (const [i, line] of own.lines.entries()) {
      if (line.scrapByCuts === null) continue;
      agree({ "from readings": bounded(line.scrapByCuts), stated: bounded(stated.lines[i].scrapByCuts) });
      expect(Math.abs(line.spares - stated.lines[i].spares)).toBeLessThanOrEqual(1);
    }
    const batch = JSON.parse(
      batchCommand(join(folder, "batch.csv"), { json: true, job: folder, moved: true }),
    );
    expect(batch.basis).toEqual(calibration.basis);
    const few = { search: 64, setting: 64, proof: 4000 };
    const tolerances = JSON.parse(
      await tolerancesCommand(folder, { json: true, curve: false, seed: SEED }, silent, few),
    );
    expect(tolerances.basis).toEqual(calibration.basis);
    agree({
      card: { value: calibration.before.closes, error: calibration.before.closesUncertainty },
      tolerances: bounded(tolerances.today),
    });
  });
});

/** Readings to take before a move, over all folders: a test that never sees one asks nothing. */
let namedFirst = 0;
it("some folders have something to read before a move", () => expect(namedFirst).toBeGreaterThan(1));

it("two answers beyond their sampling errors fail, and within them pass", () => {
  const card = { value: 0.21, error: 0.01 };
  expect(() => agree({ card, predict: { value: 0.04, error: 0.02 } })).toThrow(
    /card says 0\.21, predict 0\.04/,
  );
  agree({ card, predict: { value: 0.2, error: 0.02 } });
});
